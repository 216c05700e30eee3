"""The shapes of people, phones, keys, tools and local codes. As in `shapes`, a member nobody knows is refused."""

from datetime import date

from marshmallow import ValidationError, fields, validate

from ..rules.shape import CONTROL, CONTROL_BUT_BREAK, DAY
from ..rules.sign_off import ROLES
from .shapes import HASH, Certificate, Server, Shape, text

KID = validate.Regexp(r"^[A-Za-z0-9_-]{43}\Z", error="it must be a key's thumbprint, 43 characters")


def _without(control):
    def check(value):
        if control.search(value):
            raise ValidationError("it holds a control character")
    return check


LINE, LINES = _without(CONTROL), _without(CONTROL_BUT_BREAK)


def _real_day(value):
    try:
        date.fromisoformat(value if DAY.match(value) else "")
    except ValueError:
        raise ValidationError("it must be a day such as 2026-11-25") from None


def line(least=1, most=120):
    return fields.String(required=True, validate=[validate.Length(least, most), LINE, _filled if least else LINE])


def _filled(value):
    if not value.strip():
        raise ValidationError("it is empty")


def lines(most=4000, least=0):
    return fields.String(required=True, validate=[validate.Length(least, most), LINES])


def day_or_none():
    return fields.String(required=True, allow_none=True, validate=_real_day)


def secret():
    return text(least=0, most=1000, load_only=True)


class SigningCertificate(Shape):
    kind = line(0)
    number = line(0, 60)


class Authority(Shape):
    role = fields.String(required=True, validate=validate.OneOf(ROLES, error="it must be one of " + ", ".join(ROLES)))
    from_ = fields.String(required=True, allow_none=True, validate=_real_day, data_key="from", attribute="from")
    until = day_or_none()


def _each_role_once(authorities):
    if len({one["role"] for one in authorities}) < len(authorities):
        raise ValidationError("each role once")


AUTHORITIES = [validate.Length(1, len(ROLES), error="it must name at least one role"), _each_role_once]


class PersonFacts(Shape):
    person = fields.String()
    name = fields.String()
    roles = fields.List(fields.String())
    authorities = fields.List(fields.Nested(Authority))
    certificate = fields.Nested(Certificate)


class Session(Shape):
    person = fields.Nested(PersonFacts)
    server = fields.Nested(Server)


class ChangePassword(Shape):
    old = secret()
    new = secret()


class Challenge(Shape):
    nonce = fields.String()


class KeyProof(Shape):
    proof = text(most=4000)


class ChangedPerson(Shape):
    name = line()
    certificate = fields.Nested(SigningCertificate, required=True)
    authorities = fields.List(fields.Nested(Authority), required=True, validate=AUTHORITIES)


class NewPerson(ChangedPerson):
    login = line()
    password = secret()


class Reason(Shape):
    why = lines(400)


class NewStart(Reason):
    password = secret()


class Ended(Shape):
    at = fields.String()
    why = fields.String()
    name = fields.String(allow_none=True)


class PhoneOfPerson(Shape):
    device = fields.String()
    label = fields.String()
    kid = fields.String()
    guard = fields.String()
    enrolled_at = fields.String()
    synced_at = fields.String()
    ended = fields.Nested(Ended, allow_none=True)


class StaffMember(PersonFacts):
    login = fields.String()
    active = fields.Boolean()
    phones = fields.List(fields.Nested(PhoneOfPerson))
    new_starts = fields.List(fields.Nested(Ended))


class Staff(Shape):
    people = fields.List(fields.Nested(StaffMember))


class PublicKey(Shape):
    crv = text(most=20)
    kty = text(most=20)
    x = text(most=100)
    y = text(most=100)


class Enrolment(Shape):
    jwk = fields.Nested(PublicKey, required=True)
    guard = fields.String(required=True, validate=validate.OneOf(["code", "passkey"]))
    label = line(0, 60)
    proof = text(most=4000)


class KeyName(Shape):
    kid = fields.String(required=True, validate=KID)


class KnownKey(Shape):
    kid = fields.String()
    jwk = fields.Nested(PublicKey)
    person = fields.String()
    name = fields.String()
    device = fields.String()


class EndedKey(Shape):
    kid = fields.String()
    day = fields.String()
    why = fields.String()


class PersonHere(PersonFacts):
    kid = fields.String(allow_none=True)


class Tool(Shape):
    serial = line()
    name = line()
    calibrated_until = day_or_none()
    # One of three forms, which rules/tool_facts judges.
    facts = fields.Dict(allow_none=True)


class Tools(Shape):
    tools = fields.List(fields.Nested(Tool))


class PhoneFacts(Shape):
    digest = fields.String()
    people = fields.List(fields.Nested(PersonHere))
    ended = fields.List(fields.Nested(EndedKey))
    tools = fields.List(fields.Nested(Tool))
    keys = fields.List(fields.Nested(KnownKey))
    log_key = fields.String()
    lease_days = fields.Integer()


class CodeRevision(Shape):
    revision = fields.String(required=True, validate=HASH)


class LocalCode(Shape):
    """Any values: `rules.local_code` says what each must be, in words for its author."""

    format = fields.Raw(required=True)
    code = fields.Raw(required=True)
    title = fields.Raw(required=True)
    confirm = fields.Raw(required=True)
    control_persons = fields.Raw(required=True)
    statements = fields.Dict(required=True)


class CodeShown(CodeRevision):
    code = fields.String()
    title = fields.String()
    confirm = fields.Boolean()


class LocalCodes(Shape):
    chosen = fields.String(allow_none=True)
    codes = fields.List(fields.Nested(CodeShown))
