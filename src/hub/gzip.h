// SPDX-License-Identifier: Apache-2.0
//
// gzip (RFC 1952) for bodies, with a bound on what may come out.
//
//   std::optional<std::string> body = gunzip(received, 1 << 20);
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace nthtree::hub {

// Empty where it is not gzip, is cut short, or would be longer than bytes_max: a bomb costs no more
// than bytes_max.
std::optional<std::string> gunzip(std::string_view bytes, std::size_t bytes_max);

std::string gzip(std::string_view bytes);  // fast rather than small

}  // namespace nthtree::hub
