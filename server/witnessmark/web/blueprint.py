"""A flask-smorest blueprint that reads requests with our strict reader."""

from flask_smorest import Blueprint as SmorestBlueprint

from .body import StrictParser


class Blueprint(SmorestBlueprint):
    ARGUMENTS_PARSER = StrictParser()
