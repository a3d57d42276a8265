// SPDX-License-Identifier: Apache-2.0
//
// What stands around every screen: the bar on top (back, title, who is counting), the page that
// scrolls, the bar of actions under the thumb, and what may lie above: a question, a short message.
// On a desk's screen (Ui::desk) the destinations of the app stand at the side, one tap away.
//
//   Bar bar = open_screen(ui, {.key = "home", .title = tr("home.title"), .person = "Ana",
//                              .actions = {{.id = "save", .label = tr("save")}}});
//   … widgets …
//   if (close_screen(ui)) …
//   if (bar.action == "save") …
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "widgets/painter.h"
#include "widgets/ui.h"

namespace nthtree::widgets {

enum class Kind { primary, quiet, danger };

struct Action {
  std::string id;
  std::string label;
  Kind kind = Kind::primary;
  bool enabled = true;
  float weight = 1;  // share of the bar's width
};

// A place of the app that is one tap away on a desk's screen.
struct Destination {
  std::string id;
  std::string label;
  Glyph glyph = Glyph::dot;
  bool current = false;
};

struct ScreenSpec {
  std::string key;      // scroll place is remembered by it
  std::string title;
  bool back = false;
  std::string person;   // always visible; empty: no chip
  std::string status;   // "3 not sent"; tappable pill beside the person; empty: none
  Glyph status_glyph = Glyph::cloud;
  std::vector<Action> actions;  // 0 … 3, the first is the main one and lies under the thumb
  std::vector<Destination> destinations;  // at the side of a desk's screen alone
  std::string destinations_label;  // what they are called by a screen reader
  bool full = false;            // tables and charts: the page is as wide as it gets
  std::string pinned;           // label of a line that stays below the bar; see pin; empty: none
  std::string message;  // of a toast that follows: the page makes room, so that it covers nothing
};

struct Bar {
  bool back = false;
  bool person = false;
  bool status = false;
  std::string action;  // id of the action tapped, or empty
  std::string destination;  // id of the destination tapped, or empty
};

Bar open_screen(Ui& ui, const ScreenSpec& spec);
void close_screen(Ui& ui);

// What ScreenSpec::pinned keeps room for: a number that stays in sight while the page below it is
// scrolled and typed into. Drawn after close_screen; while it is not known there is a dash, and
// `unknown` is what a screen reader says.
void pin(Ui& ui, std::string_view label, std::string_view value, std::string_view unknown);

// A yes/no question above everything, drawn after close_screen. Returns 1 for yes, -1 for no, 0.
struct Question {
  std::string id;
  std::string title;
  std::string text;
  std::string yes;
  std::string no;
  bool danger = false;
};
int question(Ui& ui, const Question& question);

// A short message between the page, which was told of it, and the actions; drawn after
// close_screen. Returns true where its action or it itself was tapped.
struct Toast {
  std::string id;
  std::string text;
  std::string action;  // a word, or empty
};
bool toast(Ui& ui, const Toast& toast);

}  // namespace nthtree::widgets
