// SPDX-License-Identifier: Apache-2.0
// A PIN for whoever holds the phone: set, taken away, and beside it the phone's own lock.
#include "screens/each_screen.h"
#include "screens/set_up/pin_pad.h"
#include "screens/parts/frame.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void phone_lock(Frame& frame) {
  const Locks& locks = frame.session.locks;
  if (!locks.has_phone_lock) return;
  const bool on = locks.phones.count(frame.session.person) > 0;
  if (toggle(frame.ui, {.id = "phone_lock", .label = tr("pin.phone_lock"),
                        .detail = tr("pin.phone_lock_hint"), .on = on})) {
    frame.want(UsePhoneLock{!on});
  }
}

void take_away(Frame& frame) {
  open(frame, {.key = "pin_on", .title = tr("pin.title"),
               .actions = {{.id = "drop", .label = tr("pin.drop"), .enabled = may_try(frame)}}});
  pin_refused(frame);
  small_print(frame.ui, tr("pin.drop_text"));
  pin_pad(frame);
  phone_lock(frame);
  if (frame.bar.action == "drop") {
    frame.want(Unlock{frame.session.person, typed_pin(frame), true});
  }
  finish(frame);
}

}  // namespace

// Twice the same: a slip of a glove would lock its owner out.
void draw_pin(Frame& frame) {
  const Locks& locks = frame.session.locks;
  if (locks.has(frame.session.person)) return take_away(frame);
  const std::string first = frame.typed("pin_first"), pin = typed_pin(frame);
  const bool again = !first.empty();
  open(frame, {.key = "pin", .title = tr("pin.title"),
               .actions = {{.id = "next", .label = again ? tr("pin.set") : tr("pin.next"),
                            .enabled = may_try(frame)}}});
  if (locks.unusable) {
    notice(frame.ui, {.id = "unusable", .tone = Tone::trouble, .text = tr("pin.unusable")});
  }
  if (!frame.typed("pin_differs").empty()) {
    notice(frame.ui, {.id = "differs", .tone = Tone::trouble, .text = tr("pin.differs"),
                      .live = true});
  }
  small_print(frame.ui, again ? tr("pin.again") : tr("pin.choose"));
  pin_pad(frame);
  small_print(frame.ui, tr("pin.text"));
  if (frame.bar.action == "next") {
    if (again && first == pin) {
      frame.want(SetPin{pin});
    } else {
      frame.want(SetField{"pin_first", again ? "" : pin});
      frame.want(SetField{"pin_differs", again ? "1" : ""});
      frame.want(PinDigit{'c'});
    }
  }
  finish(frame);
}

}  // namespace nthtree::screens
