// SPDX-License-Identifier: Apache-2.0
//
// Things to read: headings, texts, numbers, notices, verdicts, lists and tables.
//
// Nothing here is told by colour alone: a verdict has its word, its arrow and its number, a notice
// its sign and its words.
//
//   heading(ui, tr("day.title"));
//   verdict_card(ui, {.kind = VerdictSign::harder, .word = tr("verdict.harder"), …});
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "widgets/painter.h"
#include "widgets/ui.h"

namespace nthtree::widgets {

void heading(Ui& ui, std::string_view text, int level = 2);  // level 1 is the screen's title
void paragraph(Ui& ui, std::string_view text);
void small_print(Ui& ui, std::string_view text);
void strong_line(Ui& ui, std::string_view text);
// A label on the left, its value on the right: "Target    412 spurs".
void fact(Ui& ui, std::string_view label, std::string_view value);
void big_number(Ui& ui, std::string_view figure, std::string_view caption);
void rule(Ui& ui);  // a thin line

enum class Tone { plain, good, caution, trouble };
void pill(Ui& ui, std::string_view text, Tone tone);  // a short state: sign and word

// A notice that stays: sign, text, and one thing to do about it.
struct Notice {
  std::string id;
  Tone tone = Tone::plain;
  std::string title;  // may be empty
  std::string text;
  std::string action;  // a button's label; empty: none
  bool live = false;   // announced when it appears (role alert or status)
};
bool notice(Ui& ui, const Notice& spec);  // true where the action was tapped

enum class VerdictSign { harder, lighter, on_target, count_more };
struct VerdictCard {
  std::string id;
  VerdictSign kind = VerdictSign::count_more;
  std::string word;     // "Harder"
  std::string figure;   // "12", with its sign where it has one
  std::string unit;     // "spurs a tree to take off"
  std::string detail;   // how sure, how many more trees
  bool large = true;    // the whole width, for the arm's length; else one line for lists
  bool live = true;     // announced when it changes
};
void verdict_card(Ui& ui, const VerdictCard& spec);

void progress(Ui& ui, std::string_view id, std::string_view label, float share);  // 0 … 1

// What to say where a list is empty: what it is for and what to do first.
struct EmptyState {
  std::string id;
  Glyph glyph = Glyph::tree;
  std::string title;  // left empty where the head of the screen says it
  std::string text;
  std::string action;
};
bool empty_state(Ui& ui, const EmptyState& spec);

struct Table {
  std::string id;
  std::string label;                  // read as its name
  std::vector<std::string> header;
  std::vector<std::vector<std::string>> rows;  // the first cell of each row is its header
  std::vector<float> weights;         // widths; empty: equal
  std::vector<bool> numeric;          // aligned right
  bool sortable = false;              // its headings are pressed; the caller sorts the rows
  std::vector<bool> unsorted;         // headings that are not pressed all the same; empty: none
  int sorted_by = -1;                 // the column they are sorted by now
  bool descending = false;
  std::vector<std::string> row_ids;   // where a row leads somewhere: its id; empty: none does
};
struct TableTaps {
  int column = -1;  // heading that was tapped
  int row = -1;
};
TableTaps table(Ui& ui, const Table& spec);

// Thousands of rows of one height: draw_row is called only for those in view.
struct LongList {
  std::string id;
  std::string label;
  int rows = 0;
  float row_height = 72;  // grows with the text scale
};
template <typename DrawRow>
void long_list(Ui& ui, const LongList& spec, DrawRow&& draw_row);

struct ListRange {
  int first = 0, last = 0;  // half open
  float height = 0;         // of a row
};
ListRange open_long_list(Ui& ui, const LongList& spec);
void close_long_list(Ui& ui, const LongList& spec, const ListRange& range);

template <typename DrawRow>
void long_list(Ui& ui, const LongList& spec, DrawRow&& draw_row) {
  const ListRange range = open_long_list(ui, spec);
  for (int row = range.first; row < range.last; ++row) draw_row(row);
  close_long_list(ui, spec, range);
}

}  // namespace nthtree::widgets
