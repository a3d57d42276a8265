// SPDX-License-Identifier: Apache-2.0
#include "app/navigator.h"

namespace nthtree::app {
namespace {

using screens::ScreenId;

bool keeps_awake(const screens::Session& session) {
  const ScreenId here = session.here().screen;
  return here == ScreenId::count || here == ScreenId::buds || here == ScreenId::show_codes ||
         session.exchange.camera.on;
}

}  // namespace

void Navigator::follow(const screens::Session& session) {
  if (const bool awake = keeps_awake(session); awake != awake_) {
    platform_.keep_awake(awake_ = awake);
  }
  const int depth = static_cast<int>(session.stack.size()) - 1 + (session.asking.empty() ? 0 : 1);
  while (depth_ < depth) {
    platform_.push_history();
    ++depth_;
  }
  if (depth_ > depth) platform_.pop_history(depth_ - depth);
  depth_ = depth;
}

}  // namespace nthtree::app
