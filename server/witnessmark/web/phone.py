"""What a phone must know to work without the server."""

from marshmallow import fields

from ..records import phone_facts
from . import people_shapes as shapes
from .access import EVERY_ROLE, device, may_call
from .blueprint import Blueprint

blueprint = Blueprint("phone", __name__, url_prefix="/api/phone", description="What a phone keeps for its work")


class KeyOnAPhone(shapes.KnownKey):
    enrolled_at = fields.String()
    label = fields.String()
    ended = fields.String(allow_none=True)


class WhatAPhoneKeeps(shapes.PhoneFacts):
    keys = fields.List(fields.Nested(KeyOnAPhone))


@blueprint.route("")
@may_call(*EVERY_ROLE)
@blueprint.response(200, WhatAPhoneKeeps)
def what_this_phone_keeps():
    """People, keys, tools and the key of the log; `digest` names this state, as the answer of a sync does."""
    return phone_facts.facts(device())
