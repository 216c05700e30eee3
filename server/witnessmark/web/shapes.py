"""The shapes of requests and answers, in one place. A member nobody knows is refused."""

from marshmallow import RAISE, Schema, fields, validate

ID = validate.Regexp(r"^[0-9a-f]{32}\Z", error="it must be 32 hexadecimal digits")
HASH = validate.Regexp(r"^[0-9a-f]{64}\Z", error="it must be 64 hexadecimal digits")
METER = validate.Regexp(r"^[a-z][a-z0-9_]{0,39}\Z", error="it must be small letters, digits and underscores")


class Shape(Schema):
    """Base of all shapes here."""

    class Meta:
        unknown = RAISE


def text(least=1, most=200, **kwargs):
    return fields.String(required=True, validate=validate.Length(least, most), **kwargs)


def hash_():
    return fields.String(required=True, validate=HASH)


def whole(least=0, most=2**53 - 1):
    return fields.Integer(required=True, strict=True, validate=validate.Range(least, most))


def many(field, most):
    return fields.List(field, required=True, validate=validate.Length(0, most))


class Certificate(Shape):
    kind = fields.String()
    number = fields.String()


class ShopName(Shape):
    name = fields.String()
    demo = fields.Boolean()


class Server(Shape):
    server = fields.String()
    shop = fields.Nested(ShopName)


class SignIn(Shape):
    login = text(most=120)
    password = text(most=1000, load_only=True)
    device_key = fields.String(required=True, load_only=True, validate=HASH)


class Aircraft(Shape):
    registration = fields.String()
    serial_number = fields.String()
    model = fields.String()


class AircraftList(Shape):
    aircraft = fields.List(fields.Nested(Aircraft))


class Template(Shape):
    revision = fields.String()
    card = fields.String()
    title = fields.String()
    items = fields.Integer()


class TemplateList(Shape):
    templates = fields.List(fields.Nested(Template))


class MeterReading(Shape):
    value = text(most=40)
    unit = text(most=20)


class IssueCard(Shape):
    revision = hash_()
    registration = text(most=20)
    times = fields.Dict(keys=fields.String(validate=METER), values=fields.Nested(MeterReading), required=True,
                        validate=validate.Length(0, 16))


class AircraftOfCard(Shape):
    registration = fields.String()
    serial_number = fields.String()


class Card(Shape):
    card = fields.String()
    number = fields.String()
    revision = fields.String()
    title = fields.String()
    aircraft = fields.Nested(AircraftOfCard)
    times = fields.Dict(keys=fields.String(), values=fields.Nested(MeterReading))
    issued_at = fields.String()
    issued_by = fields.String()
    code = fields.String()


class Problem(Shape):
    code = fields.String()
    sentence = fields.String()
    fields_ = fields.Dict(data_key="fields", attribute="fields")


class ProblemAnswer(Shape):
    problem = fields.Nested(Problem)


class Exchange(Shape):
    epoch = fields.String(required=True, allow_none=True, validate=ID)
    after = whole()
    entries = many(fields.String(), 2000)
    check = many(fields.String(validate=ID), 10000)
    size = whole()


class EntryAnswer(Shape):
    id = fields.String()
    verdict = fields.String(validate=validate.OneOf(["kept", "already_here", "refused"]))
    status = fields.Integer()
    problem = fields.Nested(Problem, allow_none=True)


class News(Shape):
    sequence = fields.Integer()
    kind = fields.String(validate=validate.OneOf(["entry", "card"]))
    text = fields.String()
    card = fields.Nested(Card)


class Checkpoint(Shape):
    note = fields.String()
    proof = fields.List(fields.String())


class ExchangeAnswer(Shape):
    epoch = fields.String()
    sequence = fields.Integer()
    more = fields.Boolean()
    answers = fields.List(fields.Nested(EntryAnswer))
    news = fields.List(fields.Nested(News))
    digests = fields.Dict(keys=fields.String(), values=fields.String())
    checkpoint = fields.Nested(Checkpoint)
    phone = fields.String()


class Reconcile(Shape):
    ids = many(fields.String(validate=HASH), 10000)


class Reconciled(Shape):
    lack = fields.List(fields.String())
    entries = fields.List(fields.String())


class PhotoNames(Shape):
    photos = many(fields.String(validate=HASH), 2000)


class PhotoLacking(Shape):
    sha256 = fields.String()
    received = fields.Integer()


class PhotosLacking(Shape):
    lack = fields.List(fields.Nested(PhotoLacking))


class PhotoPart(Shape):
    offset = fields.Integer(required=True, validate=validate.Range(0, 2**40))
    bytes = fields.Integer(required=True, validate=validate.Range(1, 2**40))


class PhotoTaken(Shape):
    received = fields.Integer()
    complete = fields.Boolean()


class Paper(Shape):
    ready = fields.Boolean()
    sha256 = fields.String(allow_none=True)
    sentence = fields.String(allow_none=True)


class EntryShown(Shape):
    id = fields.String()
    text = fields.String()


class CardPage(Shape):
    card = fields.Nested(Card)
    state = fields.Dict()
    entries = fields.List(fields.Nested(EntryShown))
    paper = fields.Nested(Paper)


class Resolution(Shape):
    verdict = fields.String(validate=validate.OneOf(["admitted", "set_aside"]))
    reason = fields.String()
    name = fields.String()
    at = fields.String()


class SetAside(Shape):
    reason = text(0, 4000)


class Refused(Shape):
    number = fields.Integer()
    id = fields.String()
    text = fields.String()
    problem = fields.Nested(Problem)
    sent_by = fields.String()
    device = fields.String()
    received_at = fields.String()
    kept = fields.Boolean()
    admissible = fields.Boolean()
    resolution = fields.Nested(Resolution, allow_none=True)


class Quarantine(Shape):
    entries = fields.List(fields.Nested(Refused))


class TwoSizes(Shape):
    first = fields.Integer(required=True, validate=validate.Range(0, 2**53 - 1))
    second = fields.Integer(required=True, validate=validate.Range(0, 2**53 - 1))


class Proof(Shape):
    proof = fields.List(fields.String())


class Inclusion(Proof):
    number = fields.Integer()
    leaf = fields.String()
    size = fields.Integer()
    root = fields.String()


class Health(Shape):
    status = fields.String()
