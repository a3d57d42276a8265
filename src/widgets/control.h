// SPDX-License-Identifier: Apache-2.0
//
// One declaration a control: what is drawn, tapped, mirrored for screen readers, reached by the
// keyboard and found by tests is the same value.
//
// Not a retained widget tree: the list is made anew each frame, in reading order. `parent` points
// backwards into the list, -1 for the screen itself. Rectangles are CSS pixels from the top left
// of the window, already scrolled; `clip` is the part of the window in which the control shows.
//
//   ui.add({.id = "save", .role = Role::button, .label = tr("save"), .rect = box});
#pragma once

#include <string>
#include <vector>

namespace nthtree::widgets {

struct Rect {
  float x = 0, y = 0, w = 0, h = 0;
  float right() const { return x + w; }
  float bottom() const { return y + h; }
  bool holds(float px, float py) const {
    return px >= x && px < right() && py >= y && py < bottom();
  }
  Rect inset(float by) const { return {x + by, y + by, w - 2 * by, h - 2 * by}; }
  friend bool operator==(const Rect&, const Rect&) = default;
};

// The part both share; zero size where they do not meet.
Rect meet(const Rect& a, const Rect& b);

enum class Role {
  // things to do
  button, link, toggle, radio, tab, textbox, date, spinbutton,
  // things to read
  heading, text, image, status, alert, progress,
  // things that hold others
  banner, navigation, main, footer, group, radiogroup, tablist, list, listitem, table, row,
  column_header, cell, dialog,
};

enum class Tri { none, no, yes };  // a state that may not apply

struct Control {
  std::string id;     // unique on the screen, stable from frame to frame; texts get one by order
  Role role = Role::text;
  std::string label;  // the accessible name; for text and headings: what is read
  std::string value;  // what stands in it, where that is not the name
  std::string hint;   // an error or a description, read after the name
  bool enabled = true;
  Tri pressed = Tri::none;   // toggle button
  Tri checked = Tri::none;   // toggle, radio
  Tri selected = Tri::none;  // tab
  bool current = false;      // the one we are at (list item, step)
  int level = 0;             // heading 1 … 6
  int position = 0, set_size = 0;  // item n of m in a list of which only a part is here
  float minimum = 0, maximum = 0, now = 0;  // spinbutton, progress
  Rect rect;
  Rect clip;
  int parent = -1;
  bool multiline = false, numeric = false;  // text boxes
};

// A control that a finger may hit, kept from the last frame laid out.
struct TouchTarget {
  std::string id;
  Rect rect;               // already met with its clip
  bool on_touch = false;   // counts when the finger lands (count pad), never starts a drag
  bool at_once = false;    // takes taps from the first frame of a new screen on (count pad)
  bool repeats = false;    // held down it repeats (stepper)
  bool takes_text = false; // a real input field gets the focus
};

// A piece of text as it was drawn, for tests: does it fit its box?
struct TextFit {
  std::string control_id;
  std::string text;
  Rect needed;         // where the ink of the whole text lies
  Rect box;            // where it may lie
  bool word_broken = false;  // a single word was wider than the box
};

}  // namespace nthtree::widgets
