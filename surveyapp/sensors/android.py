"""Android's own classes, reached through pyjnius; elsewhere there are none.

On a desk pyjnius would start a Java machine, so it is never imported there. No phone was at
hand when this was written: every adapter is tested against a fake of these classes.
"""

from __future__ import annotations

import os
import sys
from importlib import import_module
from typing import Any

from surveyapp.errors import SensorUnavailable

ACTIVITY = "org.kivy.android.PythonActivity"
FINE_LOCATION = "android.permission.ACCESS_FINE_LOCATION"
COARSE_LOCATION = "android.permission.ACCESS_COARSE_LOCATION"
LOCATION = (FINE_LOCATION, COARSE_LOCATION)  # since API 31 the fine one is asked for with both


def on_android() -> bool:
    """Whether this process runs on Android (python-for-android sets ANDROID_ARGUMENT)."""
    return "ANDROID_ARGUMENT" in os.environ or hasattr(sys, "getandroidapilevel")


def jnius() -> Any:
    """The pyjnius module; raises SensorUnavailable off Android."""
    if not on_android():
        raise SensorUnavailable("This machine is no Android phone: enter the value by hand.")
    try:
        return import_module("jnius")
    except Exception as error:
        raise SensorUnavailable(
            "This build of the program cannot reach Android's sensors: enter the value by hand."
        ) from error


def java(name: str) -> Any:
    """A Java class by its name; raises SensorUnavailable where this Android has none."""
    autoclass = jnius().autoclass
    try:
        return autoclass(name)
    except Exception as error:
        raise SensorUnavailable(
            f"This Android knows no {name.split('.')[-1]}: enter the value by hand."
        ) from error


def activity() -> Any:
    """The running activity."""
    return java(ACTIVITY).mActivity


def service(name: str, made: str) -> Any:
    """A service of the system, such as ('location', 'android.location.LocationManager')."""
    found = activity().getSystemService(name)
    if found is None:
        raise SensorUnavailable(f"This phone offers no {name} service: enter the value by hand.")
    return jnius().cast(made, found)


def sdk() -> int:
    """Android's API level."""
    return int(getattr(java("android.os.Build$VERSION"), "SDK_INT"))  # noqa: B009  a Java field


def facade(name: str) -> Any:
    """A sensor of plyer for this machine, without plyer's own traceback on stderr.

    Raises SensorUnavailable where plyer has none here.
    """
    try:
        system = str(import_module("plyer.utils").platform)
        return import_module(f"plyer.platforms.{system}.{name}").instance()
    except Exception as error:
        raise SensorUnavailable(f"This machine has no {name}: enter the value by hand.") from error
