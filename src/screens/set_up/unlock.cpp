// SPDX-License-Identifier: Apache-2.0
// The PIN of whoever was chosen, on a phone that several use.
#include <algorithm>

#include "screens/each_screen.h"
#include "screens/set_up/pin_pad.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::int64_t seconds_to_wait(const Frame& frame) {
  return std::max<std::int64_t>(0, (frame.session.locks.until_ms - frame.now_ms() + 999) / 1000);
}

void forgotten(Frame& frame) {
  heading(frame.ui, tr("unlock.forgotten"));
  small_print(frame.ui, tr("unlock.forgotten_text"));
  menu_row(frame, "join", tr("sync.join"), ScreenId::join_farm, Glyph::phone);
}

}  // namespace

std::string typed_pin(const Frame& frame) { return frame.typed("pin"); }

void pin_pad(Frame& frame) {
  // How many digits, and never which: the type of large numbers has no dots.
  strong_line(frame.ui, tr("unlock.typed", {{"n", std::to_string(typed_pin(frame).size())}}));
  for (const char digit : keypad(frame.ui, {.id = "pin", .label = tr("unlock.pin"),
                                            .hide_value = true,
                                            .leave = frame.ui.theme().gap})) {
    frame.want(PinDigit{digit});
  }
}

void pin_refused(Frame& frame) {
  const std::int64_t wait_s = seconds_to_wait(frame);
  const Locks& locks = frame.session.locks;
  if (!locks.wrong && wait_s == 0) return;
  const std::string text =
      wait_s == 0   ? tr("unlock.wrong")
      : wait_s < 60 ? tr("unlock.wait_seconds", {{"n", whole(static_cast<double>(wait_s))}})
                    : tr("unlock.wait_minutes",
                         {{"n", whole(static_cast<double>((wait_s + 59) / 60))}});
  notice(frame.ui, {.id = "wrong", .tone = Tone::trouble, .text = text, .live = true});
}

bool may_try(const Frame& frame) {
  return typed_pin(frame).size() >= pin_digits_min && !frame.session.locks.checking &&
         seconds_to_wait(frame) == 0;
}

void draw_unlock(Frame& frame) {
  const std::string person = frame.session.here().person;
  if (person.empty()) return draw_pin(frame);
  const Locks& locks = frame.session.locks;
  open(frame, {.key = "unlock/" + person, .title = person_text(frame.season, person),
               .actions = {{.id = "open", .label = locks.checking ? tr("unlock.checking")
                                                                  : tr("unlock.open"),
                            .enabled = may_try(frame)}}});
  pin_refused(frame);
  if (locks.phones.count(person) > 0 &&
      button(frame.ui, {.id = "by_phone", .label = tr("unlock.by_phone"), .kind = Kind::quiet,
                        .glyph = Glyph::phone})) {
    frame.want(UnlockByPhone{person});
  }
  pin_pad(frame);
  if (!frame.session.reading) forgotten(frame);
  if (frame.bar.action == "open") frame.want(Unlock{person, typed_pin(frame)});
  finish(frame);
}

}  // namespace nthtree::screens
