// SPDX-License-Identifier: Apache-2.0
//
// What a variety that nobody has described begins from: the defaults of varieties.h and 4 to 6
// fruits a cm², all of them common practice without a source.
//
//   Variety variety = plain_variety("Lantern Russet");
#pragma once

#include <string>

#include "orchard/varieties.h"

namespace nthtree::orchard {

Variety plain_variety(const std::string& name);

}  // namespace nthtree::orchard
