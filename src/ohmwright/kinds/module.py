"""A PV module. Ratings are at standard test conditions (IEC 61215: 1000 W/m2, 25 degC cell) unless they say else."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import DC, said
from ohmwright.kinds.specs import TRISTATE

WORDS = {
    "technology": WordSpec("cell technology", ("mono", "poly", "thin-film", "unknown"), "unknown"),
    "flexible": WordSpec("semi-flexible, without a frame", TRISTATE, "unknown"),
    "connector": WordSpec("make and type of its PV connector, as printed"),
    "mobile_use": WordSpec("whether its warranty covers a vehicle or boat", TRISTATE, "unknown"),
    "bypass_zones": WordSpec("how the bypass diodes divide it: short-side, long-side, halves"),
}


def _inside(words: Words) -> Inside:
    said(words, WORDS, "technology")
    return Inside(
        (Port("", DC, "pv"),),
        (Inner("cells", "source", "+", "-", "array", when=(("sun", frozenset({"up"})),)),),
        (Variable("sun", ("up", "down"), "outside", "rig"),),
    )


KIND = Kind(
    "module",
    "PV module",
    "M",
    {
        "power": FigureSpec("W", "power at standard test conditions"),
        "open_circuit": FigureSpec("V", "open-circuit voltage"),
        "max_power_voltage": FigureSpec("V", "voltage at maximum power"),
        "short_circuit": FigureSpec("A", "short-circuit current"),
        "max_power_current": FigureSpec("A", "current at maximum power"),
        "beta": FigureSpec("%/K", "change of open-circuit voltage with temperature", default="-0.30 %/K"),
        "beta_voltage": FigureSpec("V/K", "the same where the page prints volts, for the whole module"),
        "gamma": FigureSpec("%/K", "change of maximum power with temperature", default="-0.38 %/K"),
        "alpha": FigureSpec("%/K", "change of short-circuit current with temperature", default="0.05 %/K"),
        "alpha_current": FigureSpec("A/K", "the same where the page prints amperes"),
        "max_series_fuse": FigureSpec("A", "largest overcurrent device in series"),
        "max_system_voltage": FigureSpec("V", "highest system voltage"),
        "noct": FigureSpec(
            "degC", "cell temperature in the open at 800 W/m2, 20 degC, 1 m/s", default="45 degC"
        ),
        "length": FigureSpec("m", "long side"),
        "width": FigureSpec("m", "short side"),
        "depth": FigureSpec("m", "frame depth"),
        "cells": FigureSpec("1", "cells in series"),
        "bypass_diodes": FigureSpec("1", "number of bypass diodes"),
        "load_front": FigureSpec("Pa", "tested load on the front"),
        "load_rear": FigureSpec("Pa", "tested load on the back"),
        "lead_length": FigureSpec("m", "length of its leads"),
        "lead_area": FigureSpec("mm2", "cross-section of its leads"),
        "bend_radius": FigureSpec("m", "smallest bend of a flexible module"),
    },
    _inside,
    WORDS,
)
