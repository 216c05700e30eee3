"""Witnessmark: work cards for light piston helicopters."""

from flask import Flask

from .config import bundled
from .pdf.office import Office
from .pdf.seal import open_seal_key
from .records import database, schema
from .records.log_key import open_log_key
from .records.nonces import Nonces
from .records.papers import open_papers
from .records.photos import open_shelf
from .web import access, api, errors, headers, site

__version__ = "0.1.0"


def create_app(settings):
    """The app of a data folder, its database brought up to date. Wires, and nothing else."""
    app = Flask(__name__, static_folder=None)
    app.config.update(MAX_CONTENT_LENGTH=settings.max_request, SQLALCHEMY_DATABASE_URI=settings.database_url,
                      SQLALCHEMY_ENGINE_OPTIONS=database.engine_options(settings.database_url, settings.threads))
    app.extensions |= {"witnessmark_settings": settings, "witnessmark_photos": open_shelf(settings),
                       "witnessmark_papers": open_papers(settings),
                       "witnessmark_log_key": open_log_key(settings.log_key), "witnessmark_nonces": Nonces(),
                       "witnessmark_site": site.read_site(bundled("client"))}
    database.db.init_app(app)
    app.extensions["witnessmark_office"] = Office(app, open_seal_key(settings.seal_key, settings.shop))
    with app.app_context():
        database.attach()
        database.check_pragmas()
        schema.migrate(settings.data)
    errors.register(app)
    headers.register(app)
    api.register(app)
    app.register_blueprint(site.blueprint)
    access.register(app)
    return app
