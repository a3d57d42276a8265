// SPDX-License-Identifier: Apache-2.0
#include "sync/packed_lines.h"

#include <algorithm>
#include <charconv>
#include <cstdint>
#include <unordered_map>

namespace nthtree::sync {
namespace {

// No JSON has these bytes; whatever has them all the same is written with the second before it.
constexpr char number_here = '\x01';
constexpr char as_it_is = '\x02';
constexpr std::size_t digits_max = 18;  // fits 64 bits, and so does a difference of two
constexpr std::int64_t number_end = 1000000000000000000;

bool is_digit(char c) { return c >= '0' && c <= '9'; }

// Whether digits after this are a number of their own, and not part of a key or a fraction.
bool may_precede(char c) { return c == ':' || c == ',' || c == '[' || c == '-'; }
bool may_follow(char c) { return c == ',' || c == '}' || c == ']' || c == '"'; }

// The end of the number that begins here, or `at` where none does.
std::size_t end_of_number(std::string_view line, std::size_t at) {
  if (at == 0 || !is_digit(line[at]) || !may_precede(line[at - 1])) return at;
  std::size_t end = at;
  while (end < line.size() && is_digit(line[end])) ++end;
  const bool is_plain = end - at == 1 || (line[at] != '0' && end - at <= digits_max);
  return is_plain && end < line.size() && may_follow(line[end]) ? end : at;
}

// A line as its pattern and its numbers; one is taken apart after another.
struct Parted {
  std::string pattern;
  std::vector<std::int64_t> numbers;
};

void part(std::string_view line, Parted& parted) {
  parted.pattern.clear();
  parted.numbers.clear();
  std::size_t copied = 0;
  const auto copy_to = [&](std::size_t at) {
    parted.pattern.append(line, copied, at - copied);
    copied = at;
  };
  for (std::size_t at = 0; at < line.size();) {
    const char c = line[at];
    const std::size_t end = end_of_number(line, at);
    if (end != at) {
      copy_to(at);
      parted.pattern += number_here;
      std::from_chars(line.data() + at, line.data() + end, parted.numbers.emplace_back());
      copied = at = end;
      continue;
    }
    if (c == number_here || c == as_it_is) {
      copy_to(at);
      parted.pattern += as_it_is;
    }
    ++at;
  }
  copy_to(line.size());
}

void append_number(std::string& text, std::int64_t number) {
  if (!text.empty()) text += ',';
  char digits[digits_max + 2];  // with a sign
  text.append(digits, std::to_chars(digits, digits + sizeof digits, number).ptr);
}

// Takes the next line off, without its line break; empty where there is none.
std::optional<std::string_view> next_line(std::string_view& text) {
  const std::size_t end = text.find('\n');
  if (end == std::string_view::npos) return std::nullopt;
  const std::string_view line = text.substr(0, end);
  text.remove_prefix(end + 1);
  return line;
}

// Whole numbers with commas between them, one taken after another.
class Numbers {
 public:
  explicit Numbers(std::string_view text = {}) : at_(text.data()), end_(at_ + text.size()) {}

  bool ended() const { return at_ == end_; }
  // False where no number of at most 18 digits stands here by itself.
  bool take(std::int64_t& number) {
    const bool is_negative = at_ != end_ && *at_ == '-';
    if (is_negative) ++at_;
    const char* const first = at_;
    std::int64_t value = 0;
    for (; at_ != end_ && is_digit(*at_); ++at_) {
      if (at_ - first == digits_max) return false;
      value = 10 * value + (*at_ - '0');
    }
    if (at_ == first) return false;
    number = is_negative ? -value : value;
    if (at_ == end_) return true;
    return *at_++ == ',' && at_ != end_;
  }

 private:
  const char* at_;
  const char* end_;
};

struct Column {
  Numbers differences;
  std::int64_t number = 0;  // of the line before
};

// False where the pattern ends in the middle of what is written as it is.
bool read_pattern(std::string_view text, PartedLines::Pattern& pattern) {
  std::size_t begin = 0;
  pattern.bytes = 1;
  const auto add = [&](std::string_view piece, bool is_number) {
    pattern.pieces.push_back({piece, is_number});
    pattern.bytes += piece.size();
    pattern.numbers += is_number ? 1 : 0;
  };
  for (std::size_t at = 0; at < text.size(); ++at) {
    if (text[at] != number_here && text[at] != as_it_is) continue;
    const bool is_number = text[at] == number_here;
    add(text.substr(begin, at - begin), is_number);
    begin = at + 1;
    if (!is_number && ++at == text.size()) return false;
  }
  add(text.substr(begin), false);
  return true;
}

std::optional<std::vector<PartedLines::Pattern>> read_patterns(std::string_view& packed,
                                                               std::size_t lines) {
  const auto counted = next_line(packed);
  std::int64_t count = 0;
  Numbers numbers(counted.value_or(""));
  if (!numbers.take(count) || !numbers.ended()) return std::nullopt;
  if (count < 0 || count > static_cast<std::int64_t>(lines)) return std::nullopt;
  std::vector<PartedLines::Pattern> patterns(static_cast<std::size_t>(count));
  for (PartedLines::Pattern& pattern : patterns) {
    const auto text = next_line(packed);
    if (!text || !read_pattern(*text, pattern)) return std::nullopt;
  }
  return patterns;
}

// By pattern and place.
using Columns = std::vector<std::vector<Column>>;

bool read_columns(std::string_view& packed, const std::vector<PartedLines::Pattern>& patterns,
                  Columns& columns) {
  columns.resize(patterns.size());
  for (std::size_t i = 0; i < patterns.size(); ++i) {
    columns[i].resize(patterns[i].numbers);
    for (Column& column : columns[i]) {
      const auto differences = next_line(packed);
      if (!differences) return false;
      column.differences = Numbers(*differences);
    }
  }
  return packed.empty();
}

// Whether every number was asked for by some line.
bool all_taken(const Columns& columns) {
  for (const auto& of_pattern : columns) {
    for (const Column& column : of_pattern) {
      if (!column.differences.ended()) return false;
    }
  }
  return true;
}

std::size_t digits_of(std::int64_t number) {
  std::size_t digits = 1;
  for (; number >= 1000; number /= 1000) digits += 3;
  return digits + (number >= 10) + (number >= 100);
}

// The numbers of the next line, and what they take in its text. False where one is none that was
// packed.
bool take_line(std::vector<Column>& columns, std::int64_t* numbers, std::size_t& bytes) {
  for (Column& column : columns) {
    std::int64_t difference = 0;
    if (!column.differences.take(difference)) return false;
    column.number += difference;
    if (column.number < 0 || column.number >= number_end) return false;
    bytes += digits_of(column.number);
    *numbers++ = column.number;
  }
  return true;
}

}  // namespace

std::string pack_lines(const std::vector<std::string_view>& lines) {
  std::unordered_map<std::string, std::size_t> known;
  struct Packing {
    std::string differences;
    std::int64_t latest = 0;
  };
  std::vector<std::vector<Packing>> columns;  // by pattern and place
  std::string patterns, order;
  Parted parted;
  for (const std::string_view line : lines) {
    part(line, parted);
    const auto [at, is_new] = known.emplace(parted.pattern, known.size());
    if (is_new) {
      patterns += parted.pattern + '\n';
      columns.emplace_back(parted.numbers.size());
    }
    append_number(order, static_cast<std::int64_t>(at->second));
    Packing* column = columns[at->second].data();
    for (const std::int64_t number : parted.numbers) {
      append_number(column->differences, number - column->latest);
      column++->latest = number;
    }
  }
  std::string packed = std::to_string(known.size()) + '\n' + patterns + order + '\n';
  for (const auto& of_pattern : columns) {
    for (const Packing& column : of_pattern) (packed += column.differences) += '\n';
  }
  return packed;
}

std::optional<PartedLines> PartedLines::read(std::string_view packed, std::size_t lines,
                                             std::size_t bytes_max) {
  auto patterns = read_patterns(packed, lines);
  const auto order_line = patterns ? next_line(packed) : std::nullopt;
  Columns columns;
  if (!order_line || !read_columns(packed, *patterns, columns)) return std::nullopt;
  PartedLines parted;
  parted.patterns_ = std::move(*patterns);
  parted.lines_.reserve(std::min(lines, order_line->size()));
  Numbers order(*order_line);
  for (; lines > 0; --lines) {
    std::int64_t at = 0;
    if (!order.take(at) || at < 0) return std::nullopt;
    if (at >= static_cast<std::int64_t>(columns.size())) return std::nullopt;
    const auto number = static_cast<std::uint32_t>(at);
    Pattern& pattern = parted.patterns_[number];
    ++pattern.lines;
    const std::size_t first = parted.numbers_.size();
    parted.lines_.push_back({number, static_cast<std::uint32_t>(first)});
    parted.numbers_.resize(first + pattern.numbers);
    parted.bytes_ += pattern.bytes;
    if (!take_line(columns[number], parted.numbers_.data() + first, parted.bytes_)) {
      return std::nullopt;
    }
    if (parted.bytes_ > bytes_max) return std::nullopt;
  }
  if (!order.ended() || !all_taken(columns)) return std::nullopt;
  return parted;
}

// Where the line ends that it writes.
char* PartedLines::write(std::size_t line, char* to, std::vector<std::uint32_t>* places) const {
  const char* const begin = to;
  auto number = numbers(line).begin();
  for (const Piece& piece : pattern(line).pieces) {
    to = std::copy(piece.text.begin(), piece.text.end(), to);
    if (!piece.number_behind) continue;
    if (places) places->push_back(static_cast<std::uint32_t>(to - begin));
    to = std::to_chars(to, to + digits_max, *number++).ptr;
  }
  return to;
}

std::string PartedLines::text(std::size_t line, std::vector<std::uint32_t>* places) const {
  const Pattern& known = pattern(line);
  std::string text(known.bytes + digits_max * known.numbers, '\0');
  if (places) places->clear();
  text.resize(static_cast<std::size_t>(write(line, text.data(), places) - text.data()));
  return text;
}

std::optional<std::string> unpack_lines(std::string_view packed, std::size_t lines,
                                        std::size_t bytes_max) {
  const auto parted = PartedLines::read(packed, lines, bytes_max);
  if (!parted) return std::nullopt;
  std::string text(parted->bytes() + digits_max, '\0');
  char* to = text.data();
  for (std::size_t i = 0; i < parted->size(); ++i) {
    to = parted->write(i, to, nullptr);
    *to++ = '\n';
  }
  text.resize(parted->bytes());
  return text;
}

}  // namespace nthtree::sync
