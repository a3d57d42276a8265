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
//   const auto parted = PartedLines::read(packed, lines.size(), bytes_max);  // without text
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
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

// Packed lines as patterns and numbers. What is packed must stay where it is meanwhile.
class PartedLines {
 public:
  // A pattern as it is written out: plain text, then a number or, where something was written as it
  // is, none.
  struct Piece {
    std::string_view text;
    bool number_behind = false;
  };
  struct Pattern {
    std::vector<Piece> pieces;
    std::size_t numbers = 0;
    std::size_t bytes = 0;  // without the numbers, with the line break
    std::size_t lines = 0;  // that have it
  };

  // Empty as unpack_lines.
  static std::optional<PartedLines> read(std::string_view packed, std::size_t lines,
                                         std::size_t bytes_max);

  std::size_t size() const { return lines_.size(); }
  std::size_t bytes() const { return bytes_; }  // of the text, with its line breaks
  const std::vector<Pattern>& patterns() const { return patterns_; }
  std::size_t pattern_of(std::size_t line) const { return lines_[line].pattern; }
  std::span<const std::int64_t> numbers(std::size_t line) const {
    return std::span(numbers_).subspan(lines_[line].first, pattern(line).numbers);
  }
  // Without its line break. places: takes where in it the numbers begin, where given.
  std::string text(std::size_t line, std::vector<std::uint32_t>* places = nullptr) const;

 private:
  friend std::optional<std::string> unpack_lines(std::string_view, std::size_t, std::size_t);
  struct Line {
    std::uint32_t pattern = 0;
    std::uint32_t first = 0;  // of its numbers
  };
  const Pattern& pattern(std::size_t line) const { return patterns_[pattern_of(line)]; }
  char* write(std::size_t line, char* to, std::vector<std::uint32_t>* places) const;

  std::vector<Pattern> patterns_;
  std::vector<Line> lines_;
  std::vector<std::int64_t> numbers_;
  std::size_t bytes_ = 0;
};

}  // namespace nthtree::sync
