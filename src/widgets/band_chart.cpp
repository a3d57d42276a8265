// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "widgets/charts.h"
#include "widgets/verdict_look.h"

namespace nthtree::widgets {
namespace {

// Maps values to places: the band takes the middle third at least, and every interval fits.
struct Scale {
  double low = 0, high = 1;
  float x = 0, w = 1;
  float at(double value) const {
    const double share = (value - low) / (high - low);
    return x + w * static_cast<float>(std::clamp(share, 0.0, 1.0));
  }
};

Scale scale_for(const BandChart& spec, float x, float w) {
  double low = spec.band_low, high = spec.band_high;
  const double spare = std::max(1e-9, high - low) * 0.8;
  low -= spare;
  high += spare;
  for (const BandRow& row : spec.rows) {
    if (!row.known) continue;
    low = std::min(low, row.low - spare * 0.15);
    high = std::max(high, row.high + spare * 0.15);
  }
  // One pruner with two trees may reach from here to the next valley: cut that, keep the band wide.
  const double width_max = 9 * std::max(1e-9, spec.band_high - spec.band_low);
  low = std::max(low, spec.target - width_max / 2);
  high = std::min(high, spec.target + width_max / 2);
  return {low, high, x, w};
}

// The name and the number of one line stand on strips of card, so that the band below them never
// lowers the contrast.
void draw_words(Ui& ui, const BandRow& row, const Rect& line, float value_w, bool named) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float name_h = ui.fonts().height(Type::strong);
  if (named) {
    const float name_w =
        std::min(ui.fonts().measure(Type::strong, row.name).w, line.w - value_w - 44);
    painter.fill({line.x - 4, line.y + 2, name_w + 8, name_h - 2}, theme.card.back, 4);
    painter.text({line.x, line.y, name_w + 1, name_h}, row.name,
                 {.type = Type::strong, .color = theme.card.ink, .shorten = true});
  }
  if (!row.known || row.value.empty()) return;
  const float y = named ? line.y : line.y - 4;
  const Rect back = {line.right() - value_w - 28, y + 2, value_w + 32, name_h - 2};
  painter.fill(back, theme.card.back, 4);
  painter.glyph(verdict_look(theme, row.verdict).glyph, {back.x + 2, y, 20, name_h},
                theme.card.ink);
  painter.text({line.right() - value_w - 1, y, value_w + 1, name_h}, row.value,
               {.type = Type::strong, .color = theme.card.ink, .align = Align::right});
}

void draw_interval(Ui& ui, const BandRow& row, const Scale& scale, float y) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float a = scale.at(row.low), b = scale.at(row.high), m = scale.at(row.middle);
  painter.line({a, y}, {b, y}, theme.card.ink, 4);
  for (float end : {a, b}) painter.line({end, y - 7}, {end, y + 7}, theme.card.ink, 3);
  painter.disc({m, y}, 11, theme.card.back);
  painter.disc({m, y}, 9, verdict_look(theme, row.verdict).colors.back);
  painter.ring({m, y}, 9, theme.card.ink, 2);
}

}  // namespace

void band_chart(Ui& ui, const BandChart& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float name_h = ui.fonts().height(Type::strong);
  bool named = false;
  float value_w = 0;
  for (const BandRow& row : spec.rows) {
    named = named || !row.name.empty();
    value_w = std::max(value_w, ui.fonts().measure(Type::strong, row.value).w);
  }
  const float row_h = (named ? name_h : 8) + 34;
  const float foot_h =
      spec.band_text.empty()
          ? 0
          : painter.text_height(spec.band_text, Type::small, ui.width() - 2 * chart_pad) + 6;
  const Rect box =
      ui.take(row_h * static_cast<float>(spec.rows.size()) + foot_h + 2 * chart_pad);
  ui.add({.id = spec.id, .role = Role::image, .label = spec.label, .rect = box});
  painter.fill(box, theme.card.back, theme.round);
  painter.outline(box, theme.line, theme.round, 1);
  const Scale scale = scale_for(spec, box.x + chart_pad, box.w - 2 * chart_pad);
  const float top = box.y + chart_pad, bottom = box.bottom() - chart_pad - foot_h;
  const float left = scale.at(spec.band_low), right = scale.at(spec.band_high);
  painter.fill({left, top, right - left, bottom - top}, theme.chart_band, 4);
  for (float edge : {left, right}) {
    painter.line({edge, top}, {edge, bottom}, theme.faint_ink, 1.5f);
  }
  const float target = scale.at(spec.target);
  painter.dashed({target, top}, {target, bottom}, theme.faint_ink, 1.5f, 4);
  if (spec.crew > 0) {
    const float crew = scale.at(spec.crew);
    painter.dashed({crew, top}, {crew, bottom}, theme.card.ink, 2.5f, 1.5f);
  }

  float y = top;
  for (const BandRow& row : spec.rows) {
    draw_words(ui, row, {box.x + chart_pad, y, box.w - 2 * chart_pad, row_h}, value_w, named);
    if (row.known) draw_interval(ui, row, scale, y + row_h - 19);
    y += row_h;
  }
  if (foot_h > 0) {
    painter.text({box.x + chart_pad, bottom + 6, box.w - 2 * chart_pad, foot_h - 6}, spec.band_text,
                 {.type = Type::small, .color = theme.faint_ink, .align = Align::center});
  }
}

}  // namespace nthtree::widgets
