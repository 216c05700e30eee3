"""What the web server loads: the app, built from the settings in the environment."""

from . import create_app
from .config import read_settings

app = create_app(read_settings())
