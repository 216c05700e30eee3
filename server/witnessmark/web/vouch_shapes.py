"""The shapes of vouching for a new signing key."""

from marshmallow import fields

from .people_shapes import KeyName
from .shapes import Shape


class Enrolled(KeyName):
    vouch_needed = fields.Boolean()


class Since(Shape):
    person = fields.String()
    name = fields.String()
    why = fields.String()
    at = fields.String()


class WaitingKey(KeyName):
    person = fields.String()
    name = fields.String()
    label = fields.String()
    enrolled_at = fields.String()
    since = fields.Nested(Since, allow_none=True)


class WaitingKeys(Shape):
    keys = fields.List(fields.Nested(WaitingKey))
