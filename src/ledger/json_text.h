// SPDX-License-Identifier: Apache-2.0
//
// JSON from outside, read without trust (base/json_text.h), by the names used from here upwards.
#pragma once

#include "base/json_text.h"

namespace nthtree::ledger {

using base::JsonLimits;
using base::json_quoted;
using base::parse_json;

}  // namespace nthtree::ledger
