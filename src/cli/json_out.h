// SPDX-License-Identifier: Apache-2.0
//
// JSON as the command line writes it: keys in the order they are put, numbers to 12 significant
// digits (1320, not 1320.0000000000002), nothing where a number is not known.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "orchard/target.h"

namespace nthtree::cli {

using Json = nlohmann::ordered_json;

// A whole number as such, everything else to 12 digits; null where it is not finite.
Json number(double value);

// Puts "<name>", "<name>_low" and "<name>_high".
void put_estimate(Json& object, const std::string& name, const orchard::Estimate& estimate);

// Two spaces deep, ends with a line break.
std::string text_of(const Json& json);

}  // namespace nthtree::cli
