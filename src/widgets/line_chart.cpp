// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "widgets/charts.h"

namespace nthtree::widgets {
namespace {

// The likely change point: a mark of its own shape, and the words above it.
void draw_change(Ui& ui, const LineChart& spec, const Rect& plot, float x, float words_h) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  painter.dashed({x, plot.y}, {x, plot.bottom()}, theme.chart_mark, 2.5f, 4);
  painter.triangle({x - 7, plot.y - 1}, {x + 7, plot.y - 1}, {x, plot.y + 9}, theme.chart_mark);
  const Align align = x < plot.x + plot.w / 3         ? Align::left
                      : x > plot.right() - plot.w / 3 ? Align::right
                                                      : Align::center;
  painter.text({plot.x, plot.y - words_h, plot.w, words_h - 4}, spec.changed_text,
               {.type = Type::small, .color = theme.card.ink, .align = align});
}

void draw_points(Ui& ui, const std::vector<Point>& line) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  // Piece by piece: a polyline's sharp turns would stand out as spikes that nobody counted.
  const bool many = line.size() > 40;
  const Color thread = fade(theme.chart_line, many ? 0.35f : 1);
  for (std::size_t i = 1; i < line.size(); ++i) {
    painter.line(line[i - 1], line[i], thread, many ? 1.5f : 3.0f);
  }
  for (std::size_t i = 0; i < line.size(); ++i) {
    const bool last = i + 1 == line.size();
    painter.disc(line[i], last ? 7.0f : many ? 2.5f : 4.0f, theme.chart_line);
    if (last) painter.disc(line[i], 3.5f, theme.card.back);
  }
}

// The band that is wanted, its edges, and the middle of it.
template <typename At>
void draw_limits(Ui& ui, const LineChart& spec, const Rect& plot, At&& y_at) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  if (spec.limits.size() == 2) {
    const float top = y_at(std::max(spec.limits[0], spec.limits[1]));
    const float bottom = y_at(std::min(spec.limits[0], spec.limits[1]));
    painter.fill({plot.x, top, plot.w, bottom - top}, theme.chart_band);
  }
  for (double limit : spec.limits) {
    painter.dashed({plot.x, y_at(limit)}, {plot.right(), y_at(limit)}, theme.chart_limit, 2.5f, 7);
  }
  painter.line({plot.x, y_at(spec.middle)}, {plot.right(), y_at(spec.middle)}, theme.faint_ink,
               1.5f);
}

}  // namespace

void line_chart(Ui& ui, const LineChart& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float inner_w = ui.width() - 2 * chart_pad;
  const bool marked = spec.changed_at >= 0 && !spec.changed_text.empty();
  const float mark_h =
      marked ? painter.text_height(spec.changed_text, Type::small, inner_w) + 4 : 0;
  const bool named = !spec.first_text.empty() || !spec.last_text.empty();
  const float half = inner_w / 2 - 4;
  const float foot_h =
      named ? std::max(painter.text_height(spec.first_text, Type::small, half),
                       painter.text_height(spec.last_text, Type::small, half)) + 4
            : 0;
  const Rect box = ui.take(spec.height + mark_h + foot_h + 2 * chart_pad);
  ui.add({.id = spec.id, .role = Role::image, .label = spec.label, .rect = box});
  painter.fill(box, theme.card.back, theme.round);
  painter.outline(box, theme.line, theme.round, 1);
  const Rect plot = {box.x + chart_pad, box.y + chart_pad + mark_h, inner_w, spec.height};

  double low = spec.middle, high = spec.middle;
  for (double limit : spec.limits) {
    low = std::min(low, limit);
    high = std::max(high, limit);
  }
  for (double point : spec.points) {
    low = std::min(low, point);
    high = std::max(high, point);
  }
  const double air = std::max(1e-9, high - low) * 0.08;
  low -= air;
  high += air;
  const auto y_at = [&](double value) {
    return plot.bottom() - plot.h * static_cast<float>((value - low) / (high - low));
  };
  const std::size_t count = spec.points.size();
  const auto x_at = [&](std::size_t i) {
    return count < 2 ? plot.x + plot.w / 2
                     : plot.x + plot.w * static_cast<float>(i) / static_cast<float>(count - 1);
  };
  draw_limits(ui, spec, plot, y_at);
  if (spec.changed_at >= 0 && static_cast<std::size_t>(spec.changed_at) < count) {
    draw_change(ui, spec, plot, x_at(static_cast<std::size_t>(spec.changed_at)), mark_h);
  }
  std::vector<Point> line;
  for (std::size_t i = 0; i < count; ++i) line.push_back({x_at(i), y_at(spec.points[i])});
  draw_points(ui, line);
  if (named) {
    const Rect foot = {plot.x, plot.bottom() + 4, half, foot_h - 4};
    painter.text(foot, spec.first_text, {.type = Type::small, .color = theme.faint_ink,
                                         .middle = false});
    painter.text({plot.right() - half, foot.y, half, foot.h}, spec.last_text,
                 {.type = Type::small, .color = theme.faint_ink, .align = Align::right,
                  .middle = false});
  }
}

}  // namespace nthtree::widgets
