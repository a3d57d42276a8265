// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "widgets/controls.h"
#include "widgets/reading.h"

namespace nthtree::widgets {
namespace {

struct ToneLook {
  Pair colors;
  Glyph sign;
};

ToneLook tone_look(const Theme& theme, Tone tone) {
  switch (tone) {
    case Tone::good: return {theme.on_target, Glyph::check};
    case Tone::caution: return {theme.caution, Glyph::caution};
    case Tone::trouble: return {theme.trouble, Glyph::trouble};
    case Tone::plain: break;
  }
  return {theme.quiet, Glyph::note};
}

}  // namespace

void pill(Ui& ui, std::string_view text, Tone tone) {
  Painter& painter = ui.painter();
  const ToneLook look = tone_look(ui.theme(), tone);
  const float sign = 18, pad = 12;
  const float text_w = std::min(ui.fonts().measure(Type::small, text).w,
                                ui.width() - 2 * pad - sign - 8);
  const float text_h = painter.text_height(text, Type::small, text_w + 1);
  const Rect line = ui.take(std::max(34.0f, text_h + 12));
  const Rect box = {line.x, line.y, text_w + 2 * pad + sign + 8, line.h};
  ui.add({.id = ui.next_text_id(), .role = Role::text, .label = std::string(text), .rect = box});
  painter.fill(box, look.colors.back, std::min(box.h / 2, 17.0f));
  painter.glyph(look.sign, {box.x + pad, box.y, sign, box.h}, look.colors.ink);
  painter.text({box.x + pad + sign + 8, box.y, text_w + 1, box.h}, text,
               {.type = Type::small, .color = look.colors.ink});
}

namespace {

// The button of a notice, in its colours turned round.
bool notice_button(Ui& ui, const Notice& spec, const Pair& colors, const Rect& rect) {
  Painter& painter = ui.painter();
  const std::string id = spec.id + "/action";
  ui.add({.id = id, .role = Role::button, .label = spec.action, .rect = rect}, {.id = id});
  painter.fill(rect, colors.ink, ui.theme().round);
  if (ui.is_pressed(id)) painter.fill(rect, fade(colors.back, 0.25f), ui.theme().round);
  painter.text(rect.inset(8), spec.action,
               {.type = Type::strong, .color = colors.back, .align = Align::center});
  ui.draw_focus(rect, id);
  return ui.taps(id) > 0;
}

// How wide a button beside the words may be: none where either would need a second line.
float width_beside(Ui& ui, const Notice& spec, float words_w) {
  if (spec.action.empty() || !spec.title.empty()) return 0;
  const float button_w = ui.fonts().measure(Type::strong, spec.action).w + 40;
  const float text_w = ui.fonts().measure(Type::body, spec.text).w + 2;
  return text_w + ui.theme().gap + button_w <= words_w ? button_w : 0;
}

}  // namespace

bool notice(Ui& ui, const Notice& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const ToneLook look = tone_look(theme, spec.tone);
  const float pad = 14, sign = 28;
  const float words_w = ui.width() - 2 * pad - sign - theme.gap;
  const float beside = width_beside(ui, spec, words_w);
  const float text_w = words_w - (beside > 0 ? beside + theme.gap : 0);
  const float title_h =
      spec.title.empty() ? 0 : painter.text_height(spec.title, Type::strong, text_w);
  const float text_h = spec.text.empty() ? 0 : painter.text_height(spec.text, Type::body, text_w);
  const float inner = ui.width() - 2 * pad;
  const float button_h =
      spec.action.empty()
          ? 0
          : std::max(theme.target, painter.text_height(spec.action, Type::strong, inner - 24) + 20);
  const float words_h = std::max({title_h + text_h, sign, beside > 0 ? button_h : 0});
  const bool below = button_h > 0 && beside == 0;
  const Rect box = ui.take(2 * pad + words_h + (below ? theme.gap + button_h : 0));
  const Role role = !spec.live                    ? Role::group
                    : spec.tone == Tone::trouble ? Role::alert
                                                 : Role::status;
  ui.open_group({.id = spec.id, .role = role,
                 .label = spec.title.empty() ? spec.text : spec.title, .rect = box});
  painter.fill(box, look.colors.back, theme.round);
  painter.outline(box, fade(look.colors.ink, 0.35f), theme.round, 1.5f);
  painter.glyph(look.sign, {box.x + pad, box.y + pad, sign, beside > 0 ? words_h : sign},
                look.colors.ink);
  const float x = box.x + pad + sign + theme.gap;
  float y = box.y + pad + (words_h - title_h - text_h) / 2;
  if (title_h > 0) {
    ui.add({.id = spec.id + "/title", .role = Role::text, .label = spec.title,
            .rect = {x, y, text_w, title_h}});
    painter.text({x, y, text_w, title_h}, spec.title,
                 {.type = Type::strong, .color = look.colors.ink, .middle = false});
    y += title_h;
  }
  if (text_h > 0) {
    ui.add({.id = spec.id + "/text", .role = Role::text, .label = spec.text,
            .rect = {x, y, text_w, text_h}});
    painter.text({x, y, text_w, text_h}, spec.text, {.color = look.colors.ink, .middle = false});
  }
  bool tapped = false;
  if (button_h > 0) {
    const float w = beside > 0 ? beside : inner;
    tapped = notice_button(ui, spec, look.colors,
                           {box.right() - pad - w, box.bottom() - pad - button_h, w, button_h});
  }
  ui.close_group();
  if (spec.live) {
    ui.announce_once(spec.id, spec.title.empty() ? spec.text : spec.title + ". " + spec.text,
                     spec.tone == Tone::trouble);
  }
  return tapped;
}

bool empty_state(Ui& ui, const EmptyState& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  ui.space(theme.gap);
  const Rect sign = ui.take(72);
  painter.glyph(spec.glyph, sign, theme.faint_ink);
  for (int i = 0; i < 2; ++i) {
    const std::string& text = i == 0 ? spec.title : spec.text;
    const Type type = i == 0 ? Type::title : Type::body;
    if (text.empty()) continue;
    const Rect box = ui.take(painter.text_height(text, type, ui.width()));
    ui.add({.id = spec.id + (i == 0 ? "/title" : "/text"),
            .role = i == 0 ? Role::heading : Role::text, .label = text,
            .level = i == 0 ? 2 : 0, .rect = box});
    painter.text(box, text, {.type = type, .color = theme.page.ink, .align = Align::center,
                             .middle = false});
  }
  if (spec.action.empty()) return false;
  ui.space(4);
  return button(ui, {.id = spec.id + "/action", .label = spec.action}) > 0;
}

}  // namespace nthtree::widgets
