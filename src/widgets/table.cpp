// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "widgets/language.h"
#include "widgets/reading.h"

namespace nthtree::widgets {
namespace {

constexpr float cell_pad = 6;

struct Columns {
  std::vector<float> x, w;
};

Columns share_out(const Table& spec, const Rect& line) {
  Columns columns;
  const std::size_t count = std::max<std::size_t>(1, spec.header.size());
  float total = 0;
  for (std::size_t i = 0; i < count; ++i) total += i < spec.weights.size() ? spec.weights[i] : 1;
  float x = line.x;
  for (std::size_t i = 0; i < count; ++i) {
    const float w = line.w * (i < spec.weights.size() ? spec.weights[i] : 1) / total;
    columns.x.push_back(x);
    columns.w.push_back(w);
    x += w;
  }
  return columns;
}

struct Line {
  const Table& spec;
  const std::vector<std::string>& cells;
  int number = -1;  // -1: the headings
  bool head() const { return number < 0; }
  std::string id() const { return spec.id + (head() ? "/head" : "/" + std::to_string(number)); }
  // The line leads somewhere, or its headings sort.
  bool pressed() const { return head() ? spec.sortable : !spec.row_ids.empty(); }
  bool sorts(std::size_t column) const {
    return head() && spec.sortable && !(column < spec.unsorted.size() && spec.unsorted[column]);
  }
  Type type_of(std::size_t column) const {
    return head() ? Type::small : column == 0 ? Type::strong : Type::body;
  }
};

constexpr float sign_w = 14;  // of the column the table is sorted by

float text_width(const Line& line, const Columns& columns, std::size_t i) {
  const bool marked = line.head() && line.spec.sorted_by == static_cast<int>(i);
  return columns.w[i] - 2 * cell_pad - (marked ? sign_w : 0);
}

float tallest_of(Ui& ui, const Line& line, const Columns& columns, std::size_t count) {
  float height = line.pressed() ? ui.theme().target - 8 : 0;
  for (std::size_t i = 0; i < count; ++i) {
    height = std::max(height, ui.painter().text_height(line.cells[i], line.type_of(i),
                                                       text_width(line, columns, i)) + 16);
  }
  return height;
}

// A triangle up: least first; down: most first.
void draw_sort_sign(Painter& painter, const Rect& box, bool descending, Color ink) {
  const float x = box.x + sign_w / 2, y = box.y + box.h / 2, turn = descending ? 1.0f : -1.0f;
  painter.triangle({x - 5, y - 3 * turn}, {x + 5, y - 3 * turn}, {x, y + 5 * turn}, ink);
}

void draw_cell_text(Ui& ui, const Line& line, const Columns& columns, std::size_t i,
                    const Rect& box) {
  const Theme& theme = ui.theme();
  const bool right = i < line.spec.numeric.size() && line.spec.numeric[i];
  const Color ink = line.head() ? theme.quiet.ink : theme.page.ink;
  Rect cell = {columns.x[i] + cell_pad, box.y, columns.w[i] - 2 * cell_pad, box.h};
  if (line.head() && line.spec.sorted_by == static_cast<int>(i)) {
    draw_sort_sign(ui.painter(), {cell.right() - sign_w, cell.y, sign_w, cell.h},
                   line.spec.descending, ink);
    cell.w -= sign_w;
  }
  ui.painter().text(cell, line.cells[i], {.type = line.type_of(i), .color = ink,
                                          .align = right ? Align::right : Align::left});
}

// A heading that sorts, as a cell with a button in it. True where it was tapped.
bool sort_heading(Ui& ui, const Line& line, std::size_t i, const Rect& box) {
  const Table& spec = line.spec;
  const std::string id = spec.id + "/sort/" + std::to_string(i);
  const bool now = spec.sorted_by == static_cast<int>(i);
  ui.open_group({.id = id + "/cell", .role = Role::column_header, .label = line.cells[i],
                 .rect = box});
  ui.add({.id = id, .role = Role::button, .label = line.cells[i],
          .hint = !now ? "" : tr(spec.descending ? "frame.most_first" : "frame.least_first"),
          .rect = box}, {.id = id});
  ui.close_group();
  ui.draw_focus(box.inset(4), id);
  return ui.taps(id) > 0;
}

// The first cell of a row that leads somewhere; the whole row is pressed.
bool leading_cell(Ui& ui, const Line& line, const Rect& box) {
  const std::string& id = line.spec.row_ids[static_cast<std::size_t>(line.number)];
  ui.open_group({.id = line.id() + "/0", .role = Role::cell, .label = line.cells[0],
                 .rect = box});
  ui.add({.id = id, .role = Role::button, .label = line.cells[0], .rect = box}, {.id = id});
  ui.close_group();
  ui.draw_focus(box.inset(4), id);
  return ui.taps(id) > 0;
}

void draw_ground(Ui& ui, const Line& line, const Rect& box) {
  const Theme& theme = ui.theme();
  if (line.head()) {
    ui.painter().fill(box, theme.quiet.back, 6);
  } else if (line.number % 2 == 1) {
    ui.painter().fill(box, fade(theme.quiet.back, 0.45f));
  }
  const bool leads = !line.head() && line.pressed();
  if (leads && ui.is_pressed(line.spec.row_ids[static_cast<std::size_t>(line.number)])) {
    ui.painter().fill(box, fade(theme.page.ink, 0.12f));
  }
}

void draw_line(Ui& ui, const Line& line, TableTaps& taps) {
  const Columns columns = share_out(line.spec, ui.peek(0));
  const std::size_t count = std::min(line.cells.size(), columns.x.size());
  const Rect box = ui.take(tallest_of(ui, line, columns, count));
  ui.space(-ui.theme().gap);  // lines of a table touch
  ui.open_group({.id = line.id(), .role = Role::row, .rect = box});
  draw_ground(ui, line, box);
  for (std::size_t i = 0; i < count; ++i) {
    const Rect cell = {columns.x[i], box.y, columns.w[i], box.h};
    if (line.sorts(i)) {
      if (sort_heading(ui, line, i, cell)) taps.column = static_cast<int>(i);
    } else if (!line.head() && line.pressed() && i == 0) {
      if (leading_cell(ui, line, box)) taps.row = line.number;
    } else {
      ui.add({.id = line.id() + "/" + std::to_string(i),
              .role = line.head() ? Role::column_header : Role::cell, .label = line.cells[i],
              .rect = {cell.x + cell_pad, cell.y, cell.w - 2 * cell_pad, cell.h}});
    }
    draw_cell_text(ui, line, columns, i, box);
  }
  ui.close_group();
}

}  // namespace

TableTaps table(Ui& ui, const Table& spec) {
  TableTaps taps;
  const float top = ui.y();
  const int group = ui.open_group({.id = spec.id, .role = Role::table, .label = spec.label,
                                   .rect = ui.peek(1)});
  draw_line(ui, {spec, spec.header}, taps);
  int number = 0;
  for (const auto& row : spec.rows) draw_line(ui, {spec, row, number++}, taps);
  ui.close_group();
  ui.at(group).rect.h = ui.y() - top;
  ui.space(ui.theme().gap);
  return taps;
}

ListRange open_long_list(Ui& ui, const LongList& spec) {
  const Theme& theme = ui.theme();
  const float height = std::round(spec.row_height * theme.look.text_scale);
  const float all = height * static_cast<float>(spec.rows);
  const Rect box = ui.peek(all);
  // A few rows beyond the edges, so that the keyboard can walk on and a fling shows no holes.
  constexpr int spare = 3;
  const float above = ui.view().y - box.y;
  ListRange range;
  range.height = height;
  range.first = std::clamp(static_cast<int>(std::floor(above / height)) - spare, 0, spec.rows);
  range.last = std::clamp(
      static_cast<int>(std::ceil((above + ui.view().h) / height)) + spare, range.first, spec.rows);
  ui.open_group({.id = spec.id, .role = Role::list, .label = spec.label, .set_size = spec.rows,
                 .rect = box});
  ui.space(height * static_cast<float>(range.first));
  ui.open_fixed(height);
  return range;
}

void close_long_list(Ui& ui, const LongList& spec, const ListRange& range) {
  ui.close_fixed();
  ui.close_group();
  ui.space(range.height * static_cast<float>(spec.rows - range.last));
  ui.take(0);
}

}  // namespace nthtree::widgets
