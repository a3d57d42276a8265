// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

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

void draw_line(Ui& ui, const Table& spec, const std::vector<std::string>& cells, int number) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const bool head = number < 0;
  const Columns columns = share_out(spec, ui.peek(0));
  float height = 0;
  const auto type_of = [&](std::size_t i) {
    return head ? Type::small : i == 0 ? Type::strong : Type::body;
  };
  const std::size_t count = std::min(cells.size(), columns.x.size());
  for (std::size_t i = 0; i < count; ++i) {
    const float w = columns.w[i] - 2 * cell_pad;
    height = std::max(height, painter.text_height(cells[i], type_of(i), w) + 16);
  }
  const Rect box = ui.take(height);
  ui.space(-theme.gap);  // lines of a table touch
  const std::string id = spec.id + (head ? "/head" : "/" + std::to_string(number));
  ui.open_group({.id = id, .role = Role::row, .rect = box});
  if (head) {
    painter.fill(box, theme.quiet.back, 6);
  } else if (number % 2 == 1) {
    painter.fill(box, fade(theme.quiet.back, 0.45f));
  }
  for (std::size_t i = 0; i < count; ++i) {
    const Rect cell = {columns.x[i] + cell_pad, box.y, columns.w[i] - 2 * cell_pad, box.h};
    ui.add({.id = id + "/" + std::to_string(i),
            .role = head ? Role::column_header : Role::cell, .label = cells[i], .rect = cell});
    const bool right = i < spec.numeric.size() && spec.numeric[i];
    painter.text(cell, cells[i],
                 {.type = type_of(i), .color = head ? theme.quiet.ink : theme.page.ink,
                  .align = right ? Align::right : Align::left});
  }
  ui.close_group();
}

}  // namespace

void table(Ui& ui, const Table& spec) {
  const float top = ui.y();
  const int group = ui.open_group({.id = spec.id, .role = Role::table, .label = spec.label,
                                   .rect = ui.peek(1)});
  draw_line(ui, spec, spec.header, -1);
  int number = 0;
  for (const auto& row : spec.rows) draw_line(ui, spec, row, number++);
  ui.close_group();
  ui.at(group).rect.h = ui.y() - top;
  ui.space(ui.theme().gap);
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
