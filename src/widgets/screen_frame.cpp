// SPDX-License-Identifier: Apache-2.0
#include "widgets/screen_frame.h"

#include <algorithm>

#include "widgets/controls.h"
#include "widgets/language.h"

namespace nthtree::widgets {
namespace {

constexpr float bar_pad = 6;
constexpr float low_sun_h = 3;
constexpr float low_height = 420;  // a lying phone: every pixel of height is wanted
constexpr float name_share = 0.34f, name_least = 92;

Pair kind_colors(const Theme& theme, Kind kind) {
  return kind == Kind::primary ? theme.primary : kind == Kind::danger ? theme.danger : theme.quiet;
}

// A tappable place in the top bar; returns its taps.
int bar_button(Ui& ui, const Rect& box, std::string id, std::string label, Glyph glyph,
               std::string_view shown, bool shorten = false) {
  const Theme& theme = ui.theme();
  ui.add({.id = id, .role = Role::button, .label = std::move(label), .rect = box}, {.id = id});
  Painter& painter = ui.painter();
  if (!shown.empty()) {
    painter.fill(box.inset(bar_pad), fade(theme.bar.ink, ui.is_pressed(id) ? 0.30f : 0.15f),
                 theme.round);
  } else if (ui.is_pressed(id)) {
    painter.fill(box.inset(4), fade(theme.bar.ink, 0.22f), theme.round);
  }
  const float side = 22;
  if (shown.empty()) {
    painter.glyph(glyph, box.inset((box.h - side) / 2), theme.bar.ink);
  } else {
    const Rect sign = {box.x + bar_pad + 8, box.y + (box.h - side) / 2, side, side};
    Rect text = {sign.right() + 6, box.y, box.right() - bar_pad - 8 - sign.right() - 6, box.h};
    // Where a name would be cut, its letters are worth more than the sign.
    const bool alone = shorten && ui.fonts().measure(Type::small, shown).w > text.w;
    if (alone) {
      text = box.inset(bar_pad + 6);
    } else {
      painter.glyph(glyph, sign, theme.bar.ink);
    }
    painter.text(text, shown, {.type = Type::small, .color = theme.bar.ink,
                               .align = alone ? Align::center : Align::left,
                               .shorten = shorten});
  }
  ui.draw_focus(box.inset(6), id);
  return ui.taps(id);
}

float chip_width(Ui& ui, const std::string& text, float most) {
  if (text.empty()) return 0;
  const float wanted = ui.fonts().measure(Type::small, text).w + 22 + 6 + 2 * (bar_pad + 8);
  return std::min(wanted, most);
}

// Back, title, state of sending, person. Returns the height it took.
float top_bar(Ui& ui, const ScreenSpec& spec, Bar& bar) {
  const Theme& theme = ui.theme();
  const FrameInput& in = ui.input();
  Painter& painter = ui.painter();
  const float inner = in.width - in.safe_left - in.safe_right;
  const float back_w = spec.back ? theme.target : 0;
  // A name may be shortened, so that the state never is.
  const float chips_w = inner - back_w - 8;
  const float status_w = chip_width(ui, spec.status, chips_w - name_least);
  const float person_w = chip_width(
      ui, spec.person, std::min(inner * name_share, std::max(name_least, chips_w - status_w)));
  const float title_w =
      inner - back_w - person_w - status_w - (spec.back ? 4 : theme.edge) - theme.gap;
  // A title that does not fit beside the chips gets a line of its own below them.
  const bool beside = ui.fonts().measure(Type::title, spec.title).w <= title_w;
  const float below_w = inner - 2 * theme.edge;
  const float title_h =
      beside ? 0 : painter.text_height(spec.title, Type::title, below_w) + theme.gap * 0.75f;
  const bool chips = back_w + person_w + status_w > 0;
  const float line_h = chips || beside ? theme.target : theme.gap;
  const float height = in.safe_top + line_h + title_h + low_sun_h;

  painter.layer(Layer::bars);
  painter.fill({0, 0, in.width, height}, theme.bar.back);
  painter.fill({0, height - low_sun_h, in.width, low_sun_h}, theme.low_sun);
  ui.open_group({.id = "bar", .role = Role::banner, .rect = {0, 0, in.width, height}});
  float x = in.safe_left;
  if (spec.back) {
    bar.back = bar_button(ui, {x, in.safe_top, back_w, line_h}, "back", tr("frame.back"),
                          Glyph::back, "") > 0;
    x += back_w + 4;
  } else {
    x += theme.edge;
  }
  const Rect title_box =
      beside ? Rect{x, in.safe_top, title_w, line_h}
             : Rect{in.safe_left + theme.edge, in.safe_top + line_h, below_w,
                    title_h - theme.gap * 0.75f};
  // An id of its own on each screen: a screen reader is led to the heading of a new one.
  ui.add({.id = "title/" + spec.key, .role = Role::heading, .label = spec.title, .level = 1,
          .rect = title_box});
  painter.text(title_box, spec.title, {.type = Type::title, .color = theme.bar.ink});
  float right = in.width - in.safe_right - 4;
  const float person_x = right - person_w, status_x = person_x - status_w;
  if (!spec.status.empty()) {
    bar.status = bar_button(ui, {status_x, in.safe_top, status_w, line_h}, "status", spec.status,
                            spec.status_glyph, spec.status) > 0;
  }
  if (!spec.person.empty()) {
    bar.person = bar_button(ui, {person_x, in.safe_top, person_w, line_h}, "person",
                            tr("frame.person", {{"name", spec.person}}), Glyph::person,
                            spec.person, true) > 0;
  }
  ui.close_group();
  painter.layer(Layer::page);
  return height;
}

bool draw_action(Ui& ui, const Action& action, const Rect& box) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  ui.add({.id = action.id, .role = Role::button, .label = action.label,
          .enabled = action.enabled, .rect = box}, {.id = action.id});
  const Pair colors = kind_colors(theme, action.kind);
  if (action.enabled) {
    painter.fill(box, colors.back, theme.round);
    if (ui.is_pressed(action.id)) painter.fill(box, fade(colors.ink, 0.18f), theme.round);
  } else {
    painter.outline(box, theme.line, theme.round, 2);
  }
  painter.text(box.inset(8), action.label,
               {.type = Type::strong, .color = action.enabled ? colors.ink : theme.faint_ink,
                .align = Align::center});
  ui.draw_focus(box, action.id);
  return ui.taps(action.id) > 0;
}

// The actions. Few words: side by side; where one does not fit, below one another.
float bottom_bar(Ui& ui, const ScreenSpec& spec, float side, Bar& bar) {
  const Theme& theme = ui.theme();
  const FrameInput& in = ui.input();
  if (spec.actions.empty()) return in.safe_bottom;
  Painter& painter = ui.painter();
  const float inner = std::min(in.width - side - in.safe_left - in.safe_right - 2 * theme.edge,
                               theme.column_max);
  const float air = in.height < low_height ? theme.gap / 2 : theme.gap;
  float weights = 0;
  for (const Action& action : spec.actions) weights += action.weight;
  const float gaps = theme.gap * static_cast<float>(spec.actions.size() - 1);
  float tallest = theme.target;
  bool stacked = false;
  for (const Action& action : spec.actions) {
    const float w = (inner - gaps) * action.weight / weights - 24;
    const Lines& lines = ui.fonts().wrap(Type::strong, action.label, w);
    stacked = stacked || lines.word_broken || lines.lines.size() > 2;
    tallest = std::max(tallest, lines.size.h + 20);
  }
  if (stacked) {
    tallest = theme.target;
    for (const Action& action : spec.actions) {
      tallest = std::max(tallest,
                         painter.text_height(action.label, Type::strong, inner - 24) + 20);
    }
  }
  const float rows = stacked ? static_cast<float>(spec.actions.size()) : 1;
  const float height = rows * tallest + (rows - 1) * theme.gap + 2 * air + in.safe_bottom;
  const float top = in.height - height;
  painter.layer(Layer::bars);
  const Rect whole = {side, top, in.width - side, height};
  painter.fill(whole, theme.page.back);
  painter.fill({side, top, whole.w, 1}, theme.line);
  ui.open_group({.id = "actions", .role = Role::footer, .rect = whole});
  const float left = side > 0 ? side + theme.edge : (in.width - inner) / 2;
  float at = 0;
  for (std::size_t i = 0; i < spec.actions.size(); ++i) {
    const Action& action = spec.actions[i];
    Rect box;
    if (stacked) {
      box = {left, top + air + static_cast<float>(i) * (tallest + theme.gap), inner, tallest};
    } else {
      // The first action lies under the thumb: right, or left for left-handed people.
      const float w = (inner - gaps) * action.weight / weights;
      const float x = theme.look.left_handed ? left + at : left + inner - at - w;
      box = {x, top + air, w, tallest};
      at += w + theme.gap;
    }
    if (draw_action(ui, action, box)) bar.action = action.id;
  }
  ui.close_group();
  painter.layer(Layer::page);
  return height;
}

float pinned_value_w(Ui& ui) { return ui.fonts().measure(Type::title, "0,000,000").w; }

float pinned_height(Ui& ui, std::string_view label, float width) {
  if (label.empty()) return 0;
  const float w = std::min(width - 2 * ui.theme().edge, ui.theme().column_max);
  return std::max(ui.fonts().height(Type::title),
                  ui.painter().text_height(label, Type::small, w - pinned_value_w(ui))) + 12;
}

// The destinations of the app, below one another; returns the width they took.
float side_bar(Ui& ui, const ScreenSpec& spec, float top, Bar& bar) {
  if (spec.destinations.empty() || !ui.desk()) return 0;
  const Theme& theme = ui.theme();
  const FrameInput& in = ui.input();
  Painter& painter = ui.painter();
  const float grown = 1 + (theme.look.text_scale - 1) * 0.7f;
  const Rect box = {0, top, in.safe_left + 232 * grown, in.height - top};
  painter.layer(Layer::bars);
  painter.fill(box, theme.quiet.back);
  ui.open_group({.id = "places", .role = Role::navigation, .label = spec.destinations_label,
                 .rect = box});
  const float share = (box.h - theme.gap) / static_cast<float>(spec.destinations.size());
  const float height = std::clamp(share, 46.0f, theme.target);
  float y = box.y + theme.gap / 2;
  for (const Destination& destination : spec.destinations) {
    const Rect line = {in.safe_left + 6, y, box.w - in.safe_left - 12, height};
    y += height;
    ui.add({.id = destination.id, .role = Role::button, .label = destination.label,
            .current = destination.current, .rect = line}, {.id = destination.id});
    const Pair colors = destination.current ? theme.primary : theme.quiet;
    if (destination.current) painter.fill(line.inset(2), colors.back, theme.round);
    if (ui.is_pressed(destination.id))
      painter.fill(line.inset(2), fade(colors.ink, 0.18f), theme.round);
    painter.glyph(destination.glyph, {line.x + 10, line.y, 22, line.h}, colors.ink);
    painter.text({line.x + 42, line.y, line.w - 50, line.h}, destination.label,
                 {.type = Type::small, .color = colors.ink});
    ui.draw_focus(line.inset(4), destination.id);
    if (ui.taps(destination.id) > 0) bar.destination = destination.id;
  }
  ui.close_group();
  painter.layer(Layer::page);
  return box.w;
}

float toast_action_w(Ui& ui, const Toast& spec) {
  return spec.action.empty() ? 0 : ui.fonts().measure(Type::strong, spec.action).w + 24;
}

Size toast_size(Ui& ui, const Toast& spec) {
  const Theme& theme = ui.theme();
  const float w = std::min(ui.input().width - 2 * theme.edge, 520.0f);
  const float text_w = w - toast_action_w(ui, spec) - 2 * theme.edge;
  const float text_h = ui.painter().text_height(spec.text, Type::body, text_w);
  return {w, std::max(theme.target, text_h + 24)};
}

}  // namespace

Bar open_screen(Ui& ui, const ScreenSpec& spec) {
  Bar bar;
  ui.enter_screen(spec.key);
  const FrameInput& in = ui.input();
  ui.painter().depth(0);  // below the cards
  ui.painter().fill({0, 0, in.width, in.height}, ui.theme().page.back);
  ui.painter().depth(3);
  const float top = top_bar(ui, spec, bar);
  // The actions are laid out first, because the page must know how much they leave; a screen
  // reader should still meet them after the page, so close_screen puts them behind it.
  const float side = side_bar(ui, spec, top, bar);
  const float bottom = bottom_bar(ui, spec, side, bar);
  const float pinned = pinned_height(ui, spec.pinned, in.width - side);
  const float message =
      spec.message.empty() ? 0 : toast_size(ui, {.text = spec.message}).h + 2 * ui.theme().gap;
  const Rect view = {side, top + pinned, in.width - side,
                     in.height - top - pinned - bottom - message};
  ui.open_group({.id = "page", .role = Role::main, .label = spec.title, .rect = view});
  ui.open_view(spec.key, view, spec.full ? ui.theme().page_max : ui.theme().column_max);
  return bar;
}

void pin(Ui& ui, std::string_view label, std::string_view value, std::string_view unknown) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const Rect view = ui.view();
  const float height = pinned_height(ui, label, view.w);
  const Rect box = {view.x, view.y - height, view.w, height};
  painter.layer(Layer::bars);
  painter.fill(box, theme.card.back);
  painter.fill({box.x, box.bottom() - 1, box.w, 1}, theme.line);
  ui.add({.id = "pinned", .role = Role::status,
          .label = std::string(label) + ": " + std::string(value.empty() ? unknown : value),
          .rect = box});
  const float inner = std::min(box.w - 2 * theme.edge, theme.column_max);
  const Rect line = {view.x + (view.x > 0 ? theme.edge : (box.w - inner) / 2), box.y, inner,
                     height};
  painter.text({line.x, line.y, line.w - pinned_value_w(ui), line.h}, label,
               {.type = Type::small, .color = theme.card.ink});
  painter.text(line, value.empty() ? "–" : value,
               {.type = Type::title, .color = theme.card.ink, .align = Align::right});
  painter.layer(Layer::page);
}

void close_screen(Ui& ui) {
  ui.close_view();
  ui.close_group();
  ui.move_to_end("actions");
}

int question(Ui& ui, const Question& spec) {
  const Theme& theme = ui.theme();
  const FrameInput& in = ui.input();
  Painter& painter = ui.painter();
  ui.cover(spec.id);
  painter.layer(Layer::above);
  painter.fill({0, 0, in.width, in.height}, fade(rgb(0x0A0D0B), 0.6f));
  const float w = std::min(in.width - 2 * theme.edge, 480.0f);
  const float inner = w - 2 * theme.edge;
  const float title_h = painter.text_height(spec.title, Type::title, inner);
  const float text_h = spec.text.empty() ? 0 : painter.text_height(spec.text, Type::body, inner);
  float button_h = theme.target;
  for (const std::string& label : {spec.yes, spec.no}) {
    button_h = std::max(button_h, painter.text_height(label, Type::strong, inner - 24) + 20);
  }
  const float h = theme.edge * 2 + title_h + theme.gap + text_h + (text_h > 0 ? theme.gap : 0) +
                  button_h * 2 + theme.gap;
  // Low on the screen, where the thumb is.
  const Rect box = {(in.width - w) / 2,
                    std::max(in.safe_top + 8, in.height - in.safe_bottom - h - theme.edge), w, h};
  painter.fill(box, theme.card.back, theme.round + 4);
  ui.open_group({.id = spec.id, .role = Role::dialog, .label = spec.title, .hint = spec.text,
                 .rect = box});
  Rect line = {box.x + theme.edge, box.y + theme.edge, inner, title_h};
  ui.add({.id = spec.id + "/title", .role = Role::heading, .label = spec.title, .level = 2,
          .rect = line});
  painter.text(line, spec.title, {.type = Type::title, .color = theme.card.ink});
  line.y += title_h + theme.gap;
  if (text_h > 0) {
    line.h = text_h;
    ui.add({.id = spec.id + "/text", .role = Role::text, .label = spec.text, .rect = line});
    painter.text(line, spec.text, {.color = theme.card.ink});
    line.y += text_h + theme.gap;
  }
  int answer = 0;
  line.h = button_h;
  for (int i = 0; i < 2; ++i) {
    const std::string id = spec.id + (i == 0 ? "/yes" : "/no");
    const std::string& label = i == 0 ? spec.yes : spec.no;
    const Pair colors = i == 1 ? theme.quiet : spec.danger ? theme.danger : theme.primary;
    ui.add({.id = id, .role = Role::button, .label = label, .rect = line}, {.id = id});
    painter.fill(line, colors.back, theme.round);
    if (ui.is_pressed(id)) painter.fill(line, fade(colors.ink, 0.18f), theme.round);
    painter.text(line.inset(8), label,
                 {.type = Type::strong, .color = colors.ink, .align = Align::center});
    ui.draw_focus(line, id);
    if (ui.taps(id)) answer = i == 0 ? 1 : -1;
    line.y += button_h + theme.gap;
  }
  ui.close_group();
  painter.layer(Layer::page);
  return answer;
}

bool toast(Ui& ui, const Toast& spec) {
  const Theme& theme = ui.theme();
  const FrameInput& in = ui.input();
  Painter& painter = ui.painter();
  const float action_w = toast_action_w(ui, spec);
  const auto [w, h] = toast_size(ui, spec);
  const float text_w = w - action_w - 2 * theme.edge;
  const Rect box = {(in.width - w) / 2, ui.view().bottom() + theme.gap, w, h};
  painter.layer(Layer::above);
  painter.fill(box, theme.card.ink, theme.round);
  const Color ink = theme.card.back;
  const std::string button_id = spec.id + "/close";
  ui.open_group({.id = spec.id, .role = Role::status, .label = spec.text, .rect = box});
  const Rect text = {box.x + theme.edge, box.y, text_w, h};
  ui.add({.id = button_id, .role = Role::button,
          .label = spec.action.empty() ? tr("frame.close_message") : spec.action,
          .rect = box}, {.id = button_id});
  painter.text(text, spec.text, {.color = ink});
  if (!spec.action.empty()) {
    painter.text({box.right() - action_w - 8, box.y, action_w, h}, spec.action,
                 {.type = Type::strong, .color = ink, .align = Align::center});
  }
  ui.draw_focus(box, button_id);
  ui.close_group();
  ui.announce_once(spec.id, spec.text);
  painter.layer(Layer::page);
  return ui.taps(button_id) > 0;
}

}  // namespace nthtree::widgets
