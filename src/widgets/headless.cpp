// SPDX-License-Identifier: Apache-2.0
#include "widgets/headless.h"

#include <algorithm>
#include <cstdio>

#include "base/result.h"

namespace nthtree::widgets {
namespace {

bool read_file(const std::string& path, std::string& to) {
  std::FILE* file = std::fopen(path.c_str(), "rb");
  if (!file) return false;
  char block[1 << 14];
  to.clear();
  while (const std::size_t got = std::fread(block, 1, sizeof block, file)) to.append(block, got);
  std::fclose(file);
  return !to.empty();
}

std::string box_text(const Rect& r) {
  char text[96];
  std::snprintf(text, sizeof text, "%.0f,%.0f %.0fx%.0f", static_cast<double>(r.x),
                static_cast<double>(r.y), static_cast<double>(r.w), static_cast<double>(r.h));
  return text;
}

}  // namespace

bool read_fonts(const std::string& regular_path, const std::string& bold_path,
                std::string& regular, std::string& bold) {
  return read_file(regular_path, regular) && read_file(bold_path, bold);
}

HeadlessFrame::HeadlessFrame(Fonts& fonts, const HeadlessSetting& setting)
    : ui_(fonts), setting_(setting) {
  // Without letters there is no layout: a test that forgot its font files must not pass.
  NTHTREE_ASSERT(fonts.build(setting.pixel_ratio, setting.look.text_scale, ""));
  ui_.set_theme(make_theme(setting.look));
}

void HeadlessFrame::draw(const std::function<void(Ui&)>& screen) {
  const FrameInput input{.width = setting_.width, .height = setting_.height,
                         .safe_top = setting_.safe_top, .safe_bottom = setting_.safe_bottom};
  int settled = 0;
  for (int frames = 0; settled < 3 && frames < 400; ++frames) {
    settled = ui_.has_pending() ? 0 : settled + 1;
    FrameInput now = input;
    now.now_ms = now_ms_ += 16;
    ui_.begin_frame(now);
    screen(ui_);
    ui_.end_frame();
    if (ui_.fonts().wants_rebuild()) ui_.fonts().rebuild();
  }
}

const Control* HeadlessFrame::find(std::string_view id) const {
  for (const Control& control : controls()) {
    if (control.id == id) return &control;
  }
  return nullptr;
}

const Control* HeadlessFrame::find(Role role, std::string_view label) const {
  for (const Control& control : controls()) {
    if (control.role == role && control.label == label) return &control;
  }
  return nullptr;
}

bool HeadlessFrame::tap(std::string_view id) {
  const Control* control = find(id);
  if (!control || !control->enabled) return false;
  const Rect seen = meet(control->rect, control->clip);
  if (seen.w <= 0 || seen.h <= 0) return ui_.tap_counter().activate(id);
  return tap_at(seen.x + seen.w / 2, seen.y + seen.h / 2, new_screen_ms);
}

bool HeadlessFrame::tap_at(float x, float y, std::int64_t after_ms) {
  constexpr std::int64_t press_ms = 50;
  const std::int64_t before = ui_.tap_counter().counted();
  ui_.tap_counter().down(1, x, y, now_ms_ += after_ms);
  ui_.tap_counter().up(1, x, y, now_ms_ += press_ms);
  return ui_.tap_counter().counted() > before;
}

bool HeadlessFrame::type(std::string_view id, std::string text) {
  if (!find(id)) return false;
  ui_.tap_counter().type(id, std::move(text));
  return true;
}

std::vector<std::string> HeadlessFrame::clipped_texts() const {
  std::vector<std::string> faults;
  for (const TextFit& fit : ui_.texts()) {
    if (fit.word_broken) {
      faults.push_back(fit.control_id + ": a word is cut in \"" + fit.text + "\"");
    } else if (fit.needed.w > fit.box.w + 1.5f || fit.needed.h > fit.box.h + 1.5f) {
      faults.push_back(fit.control_id + ": \"" + fit.text + "\" needs " + box_text(fit.needed) +
                       " and has " + box_text(fit.box));
    }
  }
  return faults;
}

std::vector<std::string> HeadlessFrame::small_targets() const {
  constexpr float least = 46;  // 12 mm at 96 dpi is 45.4 px
  std::vector<std::string> faults;
  for (const Control& control : controls()) {
    const bool pressed = control.role <= Role::spinbutton;
    if (pressed && (control.rect.w < least || control.rect.h < least)) {
      faults.push_back(control.id + ": " + box_text(control.rect));
    }
  }
  return faults;
}

std::vector<std::string> HeadlessFrame::overlaps() const {
  std::vector<std::string> faults;
  const std::vector<TouchTarget>& targets = ui_.tap_counter().targets();
  for (std::size_t i = 0; i < targets.size(); ++i) {
    for (std::size_t k = i + 1; k < targets.size(); ++k) {
      const Rect both = meet(targets[i].rect, targets[k].rect);
      if (both.w > 1 && both.h > 1) {
        faults.push_back(targets[i].id + " and " + targets[k].id + " share " + box_text(both));
      }
    }
  }
  return faults;
}

std::vector<std::string> HeadlessFrame::outside() const {
  std::vector<std::string> faults;
  for (const Control& control : controls()) {
    if (control.rect.x < -0.5f || control.rect.right() > setting_.width + 0.5f) {
      faults.push_back(control.id + ": " + box_text(control.rect));
    }
  }
  return faults;
}

}  // namespace nthtree::widgets
