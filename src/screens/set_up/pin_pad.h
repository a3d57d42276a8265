// SPDX-License-Identifier: Apache-2.0
//
// The pad for a PIN, large enough for gloves; what is typed shows as dots and is kept nowhere.
//
// Private to this folder.
//
//   pin_refused(frame);  pin_pad(frame);
//   if (frame.bar.action == "open") frame.want(Unlock{person, typed_pin(frame)});
#pragma once

#include <string>

#include "screens/parts/frame.h"

namespace nthtree::screens {

std::string typed_pin(const Frame& frame);
void pin_pad(Frame& frame);
void pin_refused(Frame& frame);     // the last try was wrong, and how long to wait
bool may_try(const Frame& frame);   // enough digits, and no wait

}  // namespace nthtree::screens
