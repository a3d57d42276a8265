// SPDX-License-Identifier: Apache-2.0
//
// Things to press. Each function draws the control at the present place of the column, adds it to
// the list of controls, and gives back what was done to it since the last frame.
//
// Every id is unique on the screen. Nothing is lower than Theme::target (56 px, 14.8 mm).
//
//   if (button(ui, {.id = "go", .label = tr("go")})) …
//   int taps = tap_pad(ui, {.id = "pad", .label = tr("count.pad"), .value = number(count)});
#pragma once

#include <string>
#include <vector>

#include "widgets/screen_frame.h"
#include "widgets/ui.h"

namespace nthtree::widgets {

struct Button {
  std::string id;
  std::string label;
  Kind kind = Kind::primary;
  bool enabled = true;
  Glyph glyph = Glyph::dot;  // dot: none
  float height = 0;          // 0: the least that fits
  std::string hint;
  std::string name;          // read instead of the label, where that is short for its place
  Tri pressed = Tri::none;   // of one that stays in
  int position = 0;          // of the line of a list that it stands in
};
int button(Ui& ui, const Button& spec);  // taps

// The count pad: counts when a finger lands, several fingers too. Never scrolls the page.
struct TapPad {
  std::string id;
  std::string label;     // what one tap does: "Count one spur"
  std::string value;     // the number, drawn huge
  std::string caption;   // below the number: "spurs on this limb"
  float leave = 0;       // height to leave below; the pad takes the rest, at least height_min
  float height_min = 220;
  bool stretch = false;  // in a row: as tall as its neighbours
  bool at_once = true;   // takes taps from the first frame of its screen on
};
int tap_pad(Ui& ui, const TapPad& spec);

// A number with - and + beside it; held down it repeats. Returns the change in steps.
struct Stepper {
  std::string id;
  std::string label;
  double value = 0;
  double minimum = 0, maximum = 100;
  double step = 1;       // for the mirror's text only; the caller adds
  int decimals = 0;
  std::string unit;
};
int stepper(Ui& ui, const Stepper& spec);

// Digits large enough for gloves. Returns '0' … '9', '.' (where decimals), 'b' (rub out),
// 'c' (clear) for each tap, in order; usually one or none.
struct Keypad {
  std::string id;
  std::string label;
  std::string value;     // as typed so far, shown above
  bool decimals = false;
  bool hide_value = false;  // the screen shows the number itself: a lying phone is too low
  float leave = 0;
  std::string unit;
};
std::string keypad(Ui& ui, const Keypad& spec);

// One line of a list that can be chosen: label, smaller detail below, text on the right.
struct ChoiceRow {
  std::string id;
  std::string label;
  std::string detail;
  std::string trailing;
  bool current = false;   // marked as the one we are at
  bool arrow = true;      // leads to another screen
  bool enabled = true;
  Glyph glyph = Glyph::dot;  // dot: none
  int position = 0, set_size = 0;
};
int choice_row(Ui& ui, const ChoiceRow& spec);

struct Choice {
  std::string id;
  std::string label;
};
// One of two to four, side by side. Returns the index chosen now (the old one where untouched).
struct Segments {
  std::string id;
  std::string label;  // what is chosen; read, and drawn above unless hide_label
  std::vector<Choice> items;
  int selected = 0;
  bool hide_label = false;
  bool tabs = false;  // shows another part of the screen, rather than setting a value
};
int segments(Ui& ui, const Segments& spec);

// How large a tree is, as three outlines, weak to strong. Returns the index chosen now.
struct SizeChoice {
  std::string id;
  std::string label;
  std::vector<Choice> items;  // three
  int selected = -1;          // -1: none yet
};
int size_choice(Ui& ui, const SizeChoice& spec);

// Several, below one another, one chosen. Returns the index chosen now.
struct RadioList {
  std::string id;
  std::string label;
  std::vector<ChoiceRow> items;  // id, label, detail, trailing, enabled are used
  int selected = -1;
};
int radio_list(Ui& ui, const RadioList& spec);

struct Toggle {
  std::string id;
  std::string label;
  std::string detail;
  bool on = false;
};
bool toggle(Ui& ui, const Toggle& spec);  // true where it was tapped (an odd number of times)

// Text typed on the phone's own keyboard, in a real input field laid over the box.
struct TextField {
  std::string id;
  std::string label;
  std::string value;
  std::string hint;       // an example or the unit
  std::string error;      // drawn below in words; empty: none
  bool numeric = false;   // number keyboard
  bool multiline = false;
  bool enabled = true;
};
std::optional<std::string> text_field(Ui& ui, const TextField& spec);  // the new text, when typed

// A day, ISO 8601 "2026-02-14", in the browser's own calendar.
struct DateField {
  std::string id;
  std::string label;
  std::string value;
  std::string shown;  // the day as people write it here
  std::string error;
};
std::optional<std::string> date_field(Ui& ui, const DateField& spec);

}  // namespace nthtree::widgets
