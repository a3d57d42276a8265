// SPDX-License-Identifier: Apache-2.0
//
// Keeps the browser in step with where somebody stands: one entry of its history a screen deeper,
// so that its back button goes back in the app, and the screen awake while somebody counts, shows
// codes or reads them. Where a step leads is decided in screens/navigation.h.
//
//   navigator.follow(session);   // after every event
#pragma once

#include <algorithm>

#include "app/platform.h"
#include "screens/session.h"

namespace nthtree::app {

class Navigator {
 public:
  explicit Navigator(Platform& platform) : platform_(platform) {}

  void follow(const screens::Session& session);
  // The browser has gone back by itself, before the app could.
  void browser_went_back() { depth_ = std::max(0, depth_ - 1); }

 private:
  Platform& platform_;
  int depth_ = 0;  // of the browser's history
  bool awake_ = false;
};

}  // namespace nthtree::app
