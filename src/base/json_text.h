// SPDX-License-Identifier: Apache-2.0
//
// JSON from outside, read without trust: size, depth, UTF-8 and doubled keys are checked while
// reading, so that no later copy or dump can run out of stack.
//
//   Result<nlohmann::json> json = parse_json(text, {.bytes_max = 4096, .depth_max = 8});
#pragma once

#include <cstddef>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "base/result.h"

namespace nthtree::base {

struct JsonLimits {
  std::size_t bytes_max = 1 << 20;
  int depth_max = 8;  // nested arrays and objects; 1 is a flat object
};

// Errors: too_long, too_deep, doubled_key, not_json; `where` is "byte N" of the text.
Result<nlohmann::json> parse_json(std::string_view text, const JsonLimits& limits);

// Text as a JSON string, quotes included. Bytes that are not UTF-8 become U+FFFD.
std::string json_quoted(std::string_view text);

}  // namespace nthtree::base
