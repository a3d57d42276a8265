#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""A window with WebKitGTK in it, for tests, driven by WebKitWebDriver.

  webkit_browser.py --profile FOLDER [--width 390] [--height 844]

Debian's own small browser keeps nothing while it is driven, so nothing about saving could be shown
with it. This one keeps its storage in the folder, as a phone's browser does.
"""
import argparse
import os

import gi

gi.require_version("Gtk", "3.0")
gi.require_version("WebKit2", "4.1")
from gi.repository import Gtk, WebKit2  # noqa: E402


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--profile", required=True)
    parser.add_argument("--width", type=int, default=390)
    parser.add_argument("--height", type=int, default=844)
    options, _ = parser.parse_known_args()

    manager = WebKit2.WebsiteDataManager(
        base_data_directory=os.path.join(options.profile, "data"),
        base_cache_directory=os.path.join(options.profile, "cache"))
    context = WebKit2.WebContext(website_data_manager=manager)
    context.set_automation_allowed(True)
    window = Gtk.Window(decorated=False)
    window.set_default_size(options.width, options.height)
    window.connect("destroy", Gtk.main_quit)

    def create_view(_session):
        view = WebKit2.WebView(web_context=context, is_controlled_by_automation=True)
        child = window.get_child()
        if child:
            window.remove(child)
        window.add(view)
        window.show_all()
        view.grab_focus()
        return view

    def started(_context, session):
        session.connect("create-web-view", create_view)

    context.connect("automation-started", started)
    Gtk.main()


if __name__ == "__main__":
    main()
