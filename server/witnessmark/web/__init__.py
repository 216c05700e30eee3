"""The only code that knows HTTP: who may call, what a request must look like, what is answered."""
