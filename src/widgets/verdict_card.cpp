// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "widgets/charts.h"
#include "widgets/reading.h"
#include "widgets/verdict_look.h"

namespace nthtree::widgets {

VerdictLook verdict_look(const Theme& theme, VerdictSign verdict) {
  switch (verdict) {
    case VerdictSign::harder: return {theme.harder, Glyph::above};
    case VerdictSign::lighter: return {theme.lighter, Glyph::below};
    case VerdictSign::on_target: return {theme.on_target, Glyph::within};
    case VerdictSign::count_more: break;
  }
  return {theme.count_more, Glyph::more};
}

void verdict_card(Ui& ui, const VerdictCard& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const VerdictLook look = verdict_look(theme, spec.kind);
  const float pad = spec.large ? 18.0f : 12.0f;
  const float sign = spec.large ? 72.0f : 30.0f;
  const float text_w = ui.width() - 2 * pad - sign - theme.gap;
  const float word_h =
      painter.text_height(spec.word, spec.large ? Type::title : Type::strong, text_w);
  const bool huge = spec.large && ui.fonts().measure(Type::huge, spec.figure).w <= text_w;
  const Type figure_type = huge ? Type::huge : spec.large ? Type::figure : Type::title;
  const bool has_figure = !spec.figure.empty();
  const float figure_h = has_figure ? ui.fonts().height(figure_type) : 0;
  const float unit_h = spec.unit.empty() ? 0 : painter.text_height(spec.unit, Type::body, text_w);
  const float detail_w = ui.width() - 2 * pad;
  const float detail_h =
      spec.detail.empty() ? 0 : painter.text_height(spec.detail, Type::body, detail_w) + theme.gap;
  const float words_h = word_h + figure_h + unit_h;
  const Rect box = ui.take(2 * pad + std::max(words_h, sign) + detail_h);
  std::string said = spec.word;
  for (const std::string* part : {&spec.figure, &spec.unit}) {
    if (!part->empty()) said += (part == &spec.figure ? ": " : " ") + *part;
  }
  if (!spec.detail.empty()) said += ". " + spec.detail;
  ui.add({.id = spec.id, .role = spec.live ? Role::status : Role::text, .label = said,
          .rect = box});
  painter.fill(box, look.colors.back, theme.round + 4);
  const float top = box.y + pad;
  const float block = std::max(words_h, sign);
  painter.glyph(look.glyph, {box.x + pad, top + (block - sign) / 2, sign, sign}, look.colors.ink);
  const float x = box.x + pad + sign + theme.gap;
  float y = top + (block - words_h) / 2;
  painter.text({x, y, text_w, word_h}, spec.word,
               {.type = spec.large ? Type::title : Type::strong, .color = look.colors.ink,
                .middle = false});
  y += word_h;
  if (has_figure) {
    painter.text({x, y, text_w, figure_h}, spec.figure,
                 {.type = figure_type, .color = look.colors.ink, .wrap = false});
    y += figure_h;
  }
  painter.text({x, y, text_w, unit_h}, spec.unit, {.color = look.colors.ink, .middle = false});
  if (detail_h > 0) {
    painter.text({box.x + pad, box.bottom() - pad - detail_h + theme.gap, detail_w,
                  detail_h - theme.gap},
                 spec.detail, {.color = look.colors.ink, .middle = false});
  }
  if (spec.live) ui.announce_once(spec.id, said);
}

}  // namespace nthtree::widgets
