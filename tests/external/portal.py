"""Stands in for the desktop's portal: answers what the user prefers, and changes it when told.

    portal.py [dark] [strong] [still] [text=1.5]

Each line on standard input, in the same words, says what is preferred from then on. Needs a session bus without another portal.
"""
import sys

from gi.repository import Gio, GLib

NAME, PATH = "org.freedesktop.portal.Desktop", "/org/freedesktop/portal/desktop"
XML = """<node><interface name="org.freedesktop.portal.Settings">
<method name="ReadAll"><arg type="as" direction="in"/><arg type="a{sa{sv}}" direction="out"/></method>
<signal name="SettingChanged"><arg type="s"/><arg type="s"/><arg type="v"/></signal>
</interface></node>"""


def settings(words):
    text = next((float(w[5:]) for w in words if w.startswith("text=")), 1.0)
    return {
        "org.freedesktop.appearance": {
            "color-scheme": GLib.Variant("u", 1 if "dark" in words else 0),
            "contrast": GLib.Variant("u", 1 if "strong" in words else 0),
        },
        "org.gnome.desktop.interface": {
            "enable-animations": GLib.Variant("b", "still" not in words),
            "text-scaling-factor": GLib.Variant("d", text),
        },
    }


now = settings(sys.argv[1:])
bus = Gio.bus_get_sync(Gio.BusType.SESSION)


def called(_bus, _sender, _path, _interface, _method, _args, invocation):
    invocation.return_value(GLib.Variant("(a{sa{sv}})", (now,)))


def told(*_):
    global now
    line = sys.stdin.readline()
    if not line:
        return False
    now = settings(line.split())
    scheme = now["org.freedesktop.appearance"]["color-scheme"]
    changed = GLib.Variant("(ssv)", ("org.freedesktop.appearance", "color-scheme", scheme))
    bus.emit_signal(None, PATH, "org.freedesktop.portal.Settings", "SettingChanged", changed)
    return True


bus.register_object(PATH, Gio.DBusNodeInfo.new_for_xml(XML).interfaces[0], called, None, None)
Gio.bus_own_name_on_connection(bus, NAME, Gio.BusNameOwnerFlags.REPLACE, lambda *_: print("ready", flush=True), None)
GLib.io_add_watch(sys.stdin, GLib.IO_IN | GLib.IO_HUP, told)
GLib.MainLoop().run()
