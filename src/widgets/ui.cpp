// SPDX-License-Identifier: Apache-2.0
#include "widgets/ui.h"

#include <algorithm>
#include <cmath>

namespace nthtree::widgets {
namespace {

constexpr float glide_stop = 0.02f;      // px per ms: slower is standing still
constexpr float glide_half_ms = 220;     // the glide loses half its speed in this time
constexpr std::size_t rooms_most = 64;  // more rows than a window shows
constexpr float focus_margin = 12, label_room = 72;  // a field's label stands above it

}  // namespace

Ui::Ui(Fonts& fonts) : fonts_(fonts), painter_(fonts), theme_(make_theme({})) {}

void Ui::begin_frame(const FrameInput& input) {
  // The phone's keyboard came up, or the phone was turned: what is typed into stays in view.
  if (input.height < input_.height && focus_by_keyboard_) bring_id_ = focus_id_;
  input_ = input;
  forget_controls();
  targets_.clear();
  groups_.clear();
  row_count_ = text_count_ = 0;
  animating_ = false;
  run_ = taps_.take_run();
  said_before_ = std::move(said_);
  said_.clear();
  painter_.begin(input.width, input.height);
  const float inner = input.width - input.safe_left - input.safe_right - 2 * theme_.edge;
  layout_.assign(1, {});
  layout_[0].w = std::min(inner, theme_.column_max);
  layout_[0].x = input.safe_left + theme_.edge + (inner - layout_[0].w) / 2;
  layout_[0].y = layout_[0].top = layout_[0].bottom = input.safe_top;
  view_ = {0, 0, input.width, input.height};
}

void Ui::end_frame() {
  painter_.end();
  targets_ = taps_.set_targets(std::move(targets_), screen_, input_.now_ms);
  targets_.clear();
  taps_.set_gliding(std::fabs(velocity_) > glide_stop);
  last_ms_ = input_.now_ms;
  run_.reset();
}

std::vector<Announcement> Ui::take_announcements() { return std::move(announcements_); }

void Ui::announce(std::string text, bool assertive) {
  if (!text.empty()) announcements_.push_back({std::move(text), assertive});
}

void Ui::announce_once(std::string_view id, std::string_view text, bool assertive) {
  const auto before = said_before_.find(id);
  if (before == said_before_.end() || before->second != text) {
    announce(std::string(text), assertive);
  }
  said_.emplace(id, text);
}

// --- layout

Rect Ui::peek(float height) const {
  const Level& level = layout_.back();
  return {level.x, level.y, level.w, height};
}

Rect Ui::take(float height) {
  const Rect box = peek(height);
  Level& level = layout_.back();
  level.y += level.fixed > 0 ? level.fixed : height + theme_.gap;
  level.bottom = std::max(level.bottom, box.bottom());
  ++level.takes;
  return box;
}

Rect Ui::take_stretched(float height) {
  const Rect box = take(height);
  float least = box.bottom();
  for (auto it = layout_.rbegin(); it != layout_.rend(); ++it) {
    if (it->row_index >= 0) least = std::max(least, it->top + row_height());
    if (it->row_index >= 0 || it->card > 0) break;
  }
  return {box.x, box.y, box.w, least - box.y};
}

void Ui::space(float height) { layout_.back().y += height; }

// Measured as if the page stood at its top, so that a pad does not grow while it is scrolled.
float Ui::room() const { return view_.bottom() - (y() + scroll_) - theme_.gap; }

bool Ui::wide() const { return input_.width >= 640 && input_.width > input_.height; }

bool Ui::two_columns() const { return wide() || input_.width >= 760; }

// High enough for all places at the side, also with large text.
bool Ui::desk() const { return input_.width >= 1000 && input_.height >= 620; }

int Ui::row_index() const {
  for (auto it = layout_.rbegin(); it != layout_.rend(); ++it) {
    if (it->row_index >= 0) return it->row_index;
  }
  return -1;
}

void Ui::open_sticky() {
  Level& cell = layout_.back();
  sticky_top_ = cell.y;
  const int index = row_index();
  if (index < 0) return;
  const float height = views_[view_key_].sticky_heights[index];
  const float neighbour = layout_[layout_.size() - 2].bottom;
  if (height > view_.h - theme_.gap) return;  // it would never be seen whole: it scrolls
  const float lowest = std::max(cell.y, neighbour - height);
  cell.y = sticky_top_ = std::clamp(view_.y + theme_.gap, cell.y, lowest);
}

void Ui::close_sticky() {
  const int index = row_index();
  if (index < 0) return;
  float& known = views_[view_key_].sticky_heights[index];
  const float height = layout_.back().bottom - sticky_top_;
  if (std::fabs(known - height) <= 0.5f) return;
  known = height;
  animating_ = true;  // the next frame knows better
}

void Ui::place_cell(Level& level, float outer_x, float outer_w) {
  const Level& row = layout_.back();
  float total = 0, before = 0;
  const std::size_t count = row.weights.size();
  for (std::size_t i = 0; i < count; ++i) {
    total += row.weights[i];
    if (i < row.cell) before += row.weights[i];
  }
  const float usable = outer_w - row.gap * static_cast<float>(count - 1);
  level.w = usable * row.weights[row.cell] / total;
  level.x = outer_x + usable * before / total + row.gap * static_cast<float>(row.cell);
  if (row.mirrored) level.x = outer_x + outer_w - (level.x - outer_x) - level.w;
  level.y = level.top = level.bottom = row.top;
}

void Ui::open_row(const std::vector<float>& weights, float gap, bool for_hand) {
  Level row;
  const Level& outer = layout_.back();
  row.x = outer.x;
  row.w = outer.w;
  row.y = row.top = row.bottom = outer.y;
  row.weights = weights;
  row.gap = gap < 0 ? theme_.gap : gap;
  row.mirrored = for_hand && theme_.look.left_handed;
  row.row_index = row_count_++;
  layout_.push_back(row);
  Level cell;
  place_cell(cell, row.x, row.w);
  layout_.push_back(cell);
}

void Ui::end_cell() {
  const Level cell = layout_.back();
  layout_.pop_back();
  Level& row = layout_.back();
  row.bottom = std::max(row.bottom, cell.bottom);
  row.takes = std::max(row.takes, cell.takes);
}

void Ui::next_cell() {
  end_cell();
  Level& row = layout_.back();
  row.cell = std::min(row.cell + 1, row.weights.size() - 1);
  Level cell;
  place_cell(cell, row.x, row.w);
  layout_.push_back(cell);
}

void Ui::close_row() {
  end_cell();
  const Level row = layout_.back();
  layout_.pop_back();
  const float height = row.bottom - row.top;
  // Only rows of single widgets are evened out: of two in a cell, neither may grow over the other.
  const float even = row.takes <= 1 ? height : 0;
  float& known = views_[view_key_].row_heights[row.row_index];
  if (std::fabs(known - even) > 0.5f) {
    known = even;
    animating_ = true;  // the next frame knows better
  }
  if (height > 0) take(height);
}

float Ui::row_height() const {
  for (auto it = layout_.rbegin(); it != layout_.rend(); ++it) {
    if (it->row_index < 0) continue;
    const auto view = views_.find(view_key_);
    if (view == views_.end()) return 0;
    const auto known = view->second.row_heights.find(it->row_index);
    return known == view->second.row_heights.end() ? 0 : known->second;
  }
  return 0;
}

void Ui::open_fixed(float height) { layout_.back().fixed = height; }
void Ui::close_fixed() { layout_.back().fixed = 0; }

void Ui::open_card() {
  Level card;
  const Level& outer = layout_.back();
  const float pad = theme_.edge;
  card.x = outer.x + pad;
  card.w = outer.w - 2 * pad;
  card.top = outer.y;
  card.y = card.bottom = outer.y + pad;
  card.card = 1;
  for (const Level& level : layout_) card.card += level.card > 0 ? 1 : 0;
  layout_.push_back(card);
}

void Ui::close_card(Pair colors) {
  const Level card = layout_.back();
  layout_.pop_back();
  const Rect box = take(card.bottom + theme_.edge - card.top);
  painter_.depth(static_cast<int>(card.card) - 1);
  painter_.fill(box, colors.back, theme_.round);
  painter_.depth(3);
}

// --- controls

int Ui::add(Control control, const TouchTarget& target) {
  control.clip = painter_.clip();
  control.parent = groups_.empty() ? -1 : groups_.back();
  painter_.owner(control.id);
  if (!bring_id_.empty() && control.id == bring_id_ && painter_.layer() == Layer::page) {
    const float air = control.role == Role::textbox ? label_room : focus_margin;
    const float over = control.rect.bottom() + focus_margin - view_.bottom();
    const float under = view_.y - (control.rect.y - air);
    const float by = under > 0 ? -under : over > 0 ? over : 0;
    if (by != 0) scroll_by(by);
    bring_id_.clear();
  }
  if (!target.id.empty() && control.enabled) {
    TouchTarget seen = target;
    seen.rect = meet(control.rect, control.clip);
    if (seen.rect.w > 0 && seen.rect.h > 0) {
      targets_.push_back(std::move(seen));
    } else {
      // Out of view: no finger can hit it, but the keyboard and a screen reader may.
      seen.rect = {-1, -1, 0, 0};
      targets_.push_back(std::move(seen));
    }
  }
  controls_.push_back(std::move(control));
  return static_cast<int>(controls_.size()) - 1;
}

void Ui::forget_controls() {
  for (Control& control : controls_) {
    if (rooms_.size() == rooms_most) break;
    if (control.hint.capacity() > std::string().capacity()) {
      rooms_.push_back(std::move(control.hint));
    }
  }
  controls_.clear();
}

std::string Ui::roomy_text() {
  if (rooms_.empty()) return {};
  std::string text = std::move(rooms_.back());
  rooms_.pop_back();
  text.clear();
  return text;
}

int Ui::open_group(Control control) {
  const int index = add(std::move(control));
  groups_.push_back(index);
  return index;
}

void Ui::close_group() { groups_.pop_back(); }

int Ui::taps(std::string_view id) {
  if (!run_ || run_->text || run_->id != id || run_->screen != screen_) return 0;
  const int count = run_->count;
  run_.reset();
  return count;
}

std::optional<std::string> Ui::typed(std::string_view id) {
  if (!run_ || !run_->text || run_->id != id) return std::nullopt;
  std::optional<std::string> text = std::move(run_->text);
  run_.reset();
  return text;
}

std::string Ui::next_text_id() { return "~" + std::to_string(text_count_++); }

void Ui::move_to_end(std::string_view id) {
  const std::size_t count = controls_.size();
  std::size_t first = 0;
  while (first < count && controls_[first].id != id) ++first;
  if (first == count) return;
  std::size_t last = first + 1;  // children follow their group without a break
  while (last < count && controls_[last].parent >= static_cast<int>(first)) ++last;
  const int moved = static_cast<int>(last - first);
  for (Control& control : controls_) {
    if (control.parent >= static_cast<int>(last)) {
      control.parent -= moved;
    } else if (control.parent >= static_cast<int>(first)) {
      control.parent += static_cast<int>(count - last);
    }
  }
  std::rotate(controls_.begin() + static_cast<std::ptrdiff_t>(first),
              controls_.begin() + static_cast<std::ptrdiff_t>(last), controls_.end());
}

void Ui::draw_focus(const Rect& rect, std::string_view id) {
  if (!is_focused(id)) return;
  painter_.outline(rect.inset(-5), theme_.page.back, theme_.round + 5, 5);
  painter_.outline(rect.inset(-4), theme_.focus, theme_.round + 4, 3.5f);
}

void Ui::focus(std::string_view id, bool by_keyboard) {
  focus_id_ = id;
  focus_by_keyboard_ = by_keyboard;
  if (by_keyboard) bring_id_ = id;
}

void Ui::reveal(std::string_view id) {
  bring_id_ = id;
  animating_ = true;
}

// --- the scrolling view

void Ui::scroll_by(float distance) {
  views_[view_key_].scroll += distance;
  velocity_ = 0;
  animating_ = true;
}

void Ui::move_view() {
  View& view = views_[view_key_];
  const float dragged = taps_.take_scroll();
  view.scroll += dragged;
  if (const auto fling = taps_.take_fling()) velocity_ = *fling;
  if (taps_.dragging()) velocity_ = 0;
  if (std::fabs(velocity_) > glide_stop) {
    // A frame after a long sleep must not jump: no step is longer than 50 ms.
    const float elapsed =
        static_cast<float>(std::clamp<std::int64_t>(input_.now_ms - last_ms_, 1, 50));
    view.scroll += velocity_ * elapsed;
    velocity_ *= std::exp2(-elapsed / glide_half_ms);
  }
  const float most = std::max(0.0f, view.content - view_.h);
  if (view.scroll < 0 || view.scroll > most) velocity_ = 0;
  view.scroll = std::clamp(view.scroll, 0.0f, most);
  if (std::fabs(velocity_) <= glide_stop) velocity_ = 0;
  if (velocity_ != 0) animating_ = true;
  scroll_ = std::round(view.scroll);
  scrolled_ = scroll_ != view.shown;
  view.shown = scroll_;
}

// A new view starts at its top; one that is gone back to is where it was left.
void Ui::visit(std::string_view key) {
  velocity_ = 0;
  view_key_ = key;
  const auto before = std::find(trail_.begin(), trail_.end(), key);
  if (before != trail_.end()) {
    trail_.erase(before + 1, trail_.end());
  } else {
    trail_.emplace_back(key);
    views_[view_key_].scroll = views_[view_key_].shown = 0;
  }
}

void Ui::open_view(std::string_view key, const Rect& view, float width_max) {
  if (view_key_ != key || trail_.empty()) visit(key);
  view_ = view;
  move_view();
  taps_.set_scroll_area(view);
  painter_.push_clip(view);
  Level& level = layout_.back();
  const bool beside = view.x > 0;  // places stand at its side: the column begins there
  const float left = beside ? view.x : input_.safe_left;
  const float inner = view.right() - input_.safe_right - left - 2 * theme_.edge;
  level.w = std::min(inner, width_max);
  level.x = left + theme_.edge + (beside ? 0 : (inner - level.w) / 2);
  level.y = level.top = level.bottom = view.y + theme_.gap - scroll_;
}

void Ui::close_view() {
  View& view = views_[view_key_];
  const float content = layout_.back().bottom + theme_.gap + scroll_ - view_.y;
  if (std::fabs(content - view.content) > 0.5f) {
    view.content = content;
    animating_ = true;
  }
  if (content > view_.h + 1) {  // a thin mark shows that there is more
    const float share = view_.h / content;
    const float length = std::max(24.0f, view_.h * share);
    const float most = std::max(1.0f, content - view_.h);
    const float top = view_.y + (view_.h - length) * std::clamp(scroll_ / most, 0.0f, 1.0f);
    painter_.fill({view_.right() - 5, top + 2, 3, length - 4}, fade(theme_.faint_ink, 0.45f), 1.5f);
  }
  painter_.pop_clip();
}

void Ui::cover(std::string_view dialog) {
  targets_.clear();
  screen_.append("?").append(dialog);
  taps_.set_scroll_area({});
}

}  // namespace nthtree::widgets
