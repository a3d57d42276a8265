// SPDX-License-Identifier: Apache-2.0
//
// Many records as few bytes: what their lines have in common once, their numbers by column.
//
// A line is parted into a pattern and its whole numbers. Records of one device and kind share a
// pattern, and a number is mostly the one of the line before it and a little more: gzipped, a count
// takes a third of what its plain text takes gzipped. No JSON is read or written anew, so what
// comes out is byte for byte what went in, whatever it says.
// Form, as lines: how many patterns; the patterns; which one each record has; then, pattern by
// pattern and place by place, the differences from one number to the next.
// Not here: compression (the hub's answers are gzipped) and whether to pack (message.h).
//
//   const std::string packed = pack_lines(lines);
//   const auto text = unpack_lines(packed, lines.size(), bytes_max);  // each line with its '\n'
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace nthtree::sync {

// The lines have no line break in them.
std::string pack_lines(const std::vector<std::string_view>& lines);

// Each line followed by a line break; empty where `packed` was not made by pack_lines of that many
// lines, or would be longer than this.
std::optional<std::string> unpack_lines(std::string_view packed, std::size_t lines,
                                        std::size_t bytes_max);

}  // namespace nthtree::sync
