// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "widgets/charts.h"
#include "widgets/verdict_look.h"

namespace nthtree::widgets {
namespace {

// Told by shape as well: up (above the band), down (below it), square, small disc; hollow where
// nothing is counted yet.
void draw_mark(Ui& ui, const MapCell& cell, Point at, float side) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  if (cell.open) {
    painter.disc(at, side / 2, theme.card.back);
    painter.ring(at, side / 2 - 1, theme.faint_ink, 2);
    return;
  }
  const Color color = verdict_look(theme, cell.verdict).colors.back;
  const float h = side / 2;
  switch (cell.verdict) {
    case VerdictSign::harder:
      painter.triangle({at.x - h, at.y + h}, {at.x + h, at.y + h}, {at.x, at.y - h}, color);
      break;
    case VerdictSign::lighter:
      painter.triangle({at.x - h, at.y - h}, {at.x + h, at.y - h}, {at.x, at.y + h}, color);
      break;
    case VerdictSign::on_target:
      painter.fill({at.x - h * 0.8f, at.y - h * 0.8f, side * 0.8f, side * 0.8f}, color,
                   side * 0.1f);
      break;
    case VerdictSign::count_more: painter.disc(at, h * 0.7f, color); break;
  }
}

void draw_row_line(Ui& ui, const MapRow& row, Point top, Point bottom, float width) {
  const Color color = verdict_look(ui.theme(), row.verdict).colors.back;
  const float dash = row.inferred ? 9 : bottom.y - top.y;
  for (float y = top.y; y < bottom.y; y += dash + 6) {
    ui.painter().line({top.x, y}, {top.x, std::min(y + dash, bottom.y)}, fade(color, 0.45f), width);
  }
}

}  // namespace

void block_map(Ui& ui, const BlockMap& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float number_h = ui.fonts().height(Type::small);
  const float foot = spec.row_states.empty() ? 0 : 22;
  const Rect box = ui.take(spec.height + number_h + foot + 2 * chart_pad);
  ui.add({.id = spec.id, .role = Role::image, .label = spec.label, .rect = box});
  painter.fill(box, theme.card.back, theme.round);
  painter.outline(box, theme.line, theme.round, 1);
  if (spec.rows < 1 || spec.trees < 1) return;
  const Rect plot = {box.x + chart_pad, box.y + chart_pad + number_h, box.w - 2 * chart_pad,
                     spec.height};
  const float row_w = plot.w / static_cast<float>(spec.rows);
  const float tree_h = plot.h / static_cast<float>(spec.trees);
  const auto middle = [&](int row, int tree) {
    return Point{plot.x + row_w * (static_cast<float>(row) - 0.5f),
                 plot.y + tree_h * (static_cast<float>(tree) - 0.5f)};
  };
  // A line a row, and its number above wherever numbers do not touch.
  const float number_w = ui.fonts().measure(Type::small, std::to_string(spec.rows)).w + 8;
  int every = 1;
  for (int step : {1, 2, 5, 10, 20, 50, 100}) {
    every = step;
    if (row_w * static_cast<float>(step) >= number_w) break;
  }
  for (int row = 1; row <= spec.rows; ++row) {
    const Point top = middle(row, 1), bottom = middle(row, spec.trees);
    painter.line({top.x, plot.y}, {bottom.x, plot.bottom()}, theme.chart_grid,
                 std::clamp(row_w * 0.25f, 1.0f, 5.0f));
    if (row != 1 && row % every != 0) continue;
    painter.text({top.x - row_w * static_cast<float>(every) / 2, box.y + chart_pad,
                  row_w * static_cast<float>(every), number_h},
                 std::to_string(row),
                 {.type = Type::small, .color = theme.faint_ink, .align = Align::center,
                  .wrap = false});
  }
  const float side = std::clamp(row_w * 0.9f, 7.0f, 20.0f);
  for (const MapRow& row : spec.row_states) {
    const float x = middle(row.row, 1).x;
    draw_row_line(ui, row, {x, plot.y}, {x, plot.bottom()}, std::clamp(row_w * 0.35f, 2.0f, 7.0f));
    draw_mark(ui, {.verdict = row.verdict}, {x, plot.bottom() + foot / 2}, std::min(side, 14.0f));
  }
  for (const MapCell& cell : spec.cells) draw_mark(ui, cell, middle(cell.row, cell.tree), side);
  if (spec.here_row > 0 && spec.here_tree > 0) {
    const Point at = middle(spec.here_row, spec.here_tree);
    painter.ring(at, side * 0.5f + 6, theme.card.back, 5);
    painter.ring(at, side * 0.5f + 6, theme.focus, 3.5f);
  }
}

}  // namespace nthtree::widgets
