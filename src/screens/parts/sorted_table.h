// SPDX-License-Identifier: Apache-2.0
//
// A table whose headings sort it, for the office's screen. What it is sorted by is part of the
// session, so that a look at a block and back finds it as it was.
//
// A column is as wide as its words need, beside the others.
//
// Private to this folder.
//
//   SortedTable table("people", tr("review.people"),
//                     {{tr("edit.name")}, {tr("day.hours"), true}});
//   table.add("person/p3", {{"Priya"}, {"7.5", 7.5}});
//   if (auto id = table.draw(frame)) …
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "screens/parts/frame.h"

namespace nthtree::screens {

struct Column {
  std::string label;
  bool numeric = false;   // aligned right, most first
  bool optional = false;  // left out where the words would not fit, the last one first
  bool sorts = true;      // false where a row's place would say what it must not
};

struct Cell {
  std::string text;
  double number = 0;  // what a numeric column is sorted by
};

class SortedTable {
 public:
  SortedTable(std::string id, std::string label, std::vector<Column> columns)
      : id_(std::move(id)), label_(std::move(label)), columns_(std::move(columns)) {}

  // The rows stand in the order they were added in until a heading is pressed.
  void add(std::string row_id, std::vector<Cell> cells) {
    rows_.push_back({std::move(row_id), std::move(cells)});
  }
  bool empty() const { return rows_.empty(); }
  // The id of the row that was tapped.
  std::optional<std::string> draw(Frame& frame);

 private:
  struct Row {
    std::string id;
    std::vector<Cell> cells;
  };
  void sort(const Sorting& by);
  std::vector<std::size_t> fitting(Frame& frame, std::vector<float>& widths) const;
  float least_width(Frame& frame, std::size_t column) const;
  float wanted_width(Frame& frame, std::size_t column) const;

  std::string id_, label_;
  std::vector<Column> columns_;
  std::vector<Row> rows_;
};

}  // namespace nthtree::screens
