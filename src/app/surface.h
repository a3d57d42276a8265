// SPDX-License-Identifier: Apache-2.0
//
// What the loop tells the app beside PlatformEvents: frames, sizes and what the mirror did. Kept
// apart from platform.h because only the loop needs it.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "app/platform.h"
#include "widgets/ui.h"

namespace nthtree::app {

struct SurfaceSize {
  float width = 390, height = 844;  // CSS px
  float pixel_ratio = 1;
  Insets safe;
};

// A thing that lays itself out and can be tapped.
class Surface {
 public:
  virtual ~Surface() = default;
  // Lays out until no tap waits. True where another frame is wanted (something moves).
  virtual bool lay_out(const SurfaceSize& size, std::int64_t now_ms) = 0;
  virtual bool buzzes() const { return true; }  // on each tap, where the phone can
  virtual widgets::Ui& ui() = 0;
  virtual widgets::Fonts& fonts() = 0;
};

}  // namespace nthtree::app
