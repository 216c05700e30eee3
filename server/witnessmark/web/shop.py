"""Whose server this is: asked by a phone before anybody has signed in."""

from ..records.shop import shop
from . import shapes
from .access import may_call
from .blueprint import Blueprint

blueprint = Blueprint("shop", __name__, url_prefix="/api/shop", description="Whose server this is")


@blueprint.route("")
@may_call("anyone")
@blueprint.response(200, shapes.Server)
def whose():
    """The server's id and the shop's name, and whether the shop is invented."""
    return server_facts()


def server_facts():
    """{"server", "shop": {"name", "demo"}} as every answer shows it."""
    here = shop()
    return {"server": here["server"], "shop": {"name": here["name"], "demo": here["demo"]}}
