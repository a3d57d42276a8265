// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "widgets/charts.h"

namespace nthtree::widgets {

void bar_chart(Ui& ui, const BarChart& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float inner_w = ui.width() - 2 * chart_pad;
  float value_w = 0, height = 2 * chart_pad;
  double most = spec.mark;
  for (const BarRow& row : spec.rows) {
    value_w = std::max(value_w, ui.fonts().measure(Type::strong, row.text).w);
    most = std::max(most, row.value);
  }
  value_w = std::min(value_w, inner_w * 0.4f);
  const float name_w = inner_w - value_w - 8;
  std::vector<float> heights;
  for (const BarRow& row : spec.rows) {
    const float name_h =
        std::max(painter.text_height(row.name, Type::body, name_w),
                 painter.text_height(row.text, Type::strong, value_w + 1));
    heights.push_back(name_h + 24);
    height += heights.back();
  }
  const float foot_h =
      spec.mark_text.empty() ? 0 : painter.text_height(spec.mark_text, Type::small, inner_w) + 2;
  const Rect box = ui.take(height + foot_h);
  ui.add({.id = spec.id, .role = Role::image, .label = spec.label, .rect = box});
  painter.fill(box, theme.card.back, theme.round);
  painter.outline(box, theme.line, theme.round, 1);
  float y = box.y + chart_pad;
  for (std::size_t i = 0; i < spec.rows.size(); ++i) {
    const BarRow& row = spec.rows[i];
    const float name_h = heights[i] - 24;
    painter.text({box.x + chart_pad, y, name_w, name_h}, row.name, {.color = theme.card.ink});
    painter.text({box.right() - chart_pad - value_w - 1, y, value_w + 1, name_h}, row.text,
                 {.type = Type::strong, .color = theme.card.ink, .align = Align::right});
    const Rect track = {box.x + chart_pad, y + name_h + 2, inner_w, 14};
    painter.fill(track, theme.chart_grid, 4);
    if (most > 0 && row.value > 0) {
      const float w = std::max(4.0f, inner_w * static_cast<float>(row.value / most));
      painter.fill({track.x, track.y, w, track.h},
                   row.strong ? theme.chart_mark : theme.chart_line, 4);
    }
    y += heights[i];
  }
  if (spec.mark > 0 && most > 0) {
    const float x = box.x + chart_pad + inner_w * static_cast<float>(spec.mark / most);
    float mark_y = box.y + chart_pad;
    for (float row_h : heights) {
      painter.line({x, mark_y + row_h - 24}, {x, mark_y + row_h - 5}, theme.card.back, 5);
      painter.line({x, mark_y + row_h - 26}, {x, mark_y + row_h - 4}, theme.chart_limit, 3);
      mark_y += row_h;
    }
  }
  if (foot_h > 0) {
    painter.text({box.x + chart_pad, y, inner_w, foot_h}, spec.mark_text,
                 {.type = Type::small, .color = theme.faint_ink, .align = Align::right});
  }
}

}  // namespace nthtree::widgets
