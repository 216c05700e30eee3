"""The people of the shop, for its authors: who they are, what they may do, where they sign."""

from ..records import accounts, people
from ..records.database import writing
from . import people_shapes as shapes
from .access import may_call, person
from .blueprint import Blueprint
from .reason import given_reason

blueprint = Blueprint("people", __name__, url_prefix="/api/people", description="People of the shop")


@blueprint.route("", methods=["GET"])
@may_call("author")
@blueprint.response(200, shapes.Staff)
def list_people():
    """Everybody who works here or did, with the phones they sign on."""
    return {"people": accounts.staff()}


@blueprint.route("", methods=["POST"])
@may_call("author")
@blueprint.arguments(shapes.NewPerson)
@blueprint.response(201, shapes.StaffMember)
def add_person(wanted):
    """Add a person. Sign-in names of people who left are never given again."""
    return accounts.member(accounts.hire(wanted, person()["person"]))


@blueprint.route("/<who>", methods=["PUT"])
@may_call("author")
@blueprint.arguments(shapes.ChangedPerson)
@blueprint.response(200, shapes.StaffMember)
def change_person(wanted, who):
    """Change somebody's name, certificate and authorities. What they signed before keeps what it says."""
    with writing() as session:
        people.change_person(session, who, wanted, person()["person"])
    return accounts.member(who)


@blueprint.route("/<who>/end", methods=["POST"])
@may_call("author")
@blueprint.arguments(shapes.Reason)
@blueprint.response(200, shapes.StaffMember)
def end_person(told, who):
    """Somebody leaves: their sessions and keys end with this request. What they signed stays and stays valid."""
    accounts.end(who, given_reason(told["why"]), person()["person"])
    return accounts.member(who)


@blueprint.route("/<who>/password", methods=["POST"])
@may_call("author")
@blueprint.arguments(shapes.NewStart)
@blueprint.response(200, shapes.StaffMember)
def start_anew(told, who):
    """A new start: a new password, and every session and signing key of the person ends, for all to see."""
    accounts.start_anew(who, told["password"], given_reason(told["why"]), person()["person"])
    return accounts.member(who)
