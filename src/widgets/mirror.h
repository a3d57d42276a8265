// SPDX-License-Identifier: Apache-2.0
//
// The list of controls as text for web/mirror.js, which keeps real, invisible DOM elements in step
// with it. Written only when something changed (hash), so that an idle screen costs nothing.
//
// Form: one JSON array of controls in reading order, each on a line of its own, so that a reader
// sees at once which ones changed; an object with short keys:
//   i id, r role, l label, v value, h hint, p parent index, d 1 disabled, e pressed 0|1,
//   c checked 0|1, s selected 0|1, u 1 current, n level, a [position, set size],
//   m [minimum, maximum, now], x [x, y, w, h] rounded to whole CSS px, t "number"|"long".
// Keys that do not apply are left out.
//
//   if (mirror.changed(ui.controls())) platform.update_mirror(mirror.json());
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "widgets/control.h"

namespace nthtree::widgets {

const char* role_name(Role role);

class Mirror {
 public:
  // Writes the list; true where it differs from the last one.
  bool changed(const std::vector<Control>& controls);
  const std::string& json() const { return json_; }

 private:
  std::string json_;
};

}  // namespace nthtree::widgets
