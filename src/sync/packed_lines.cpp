// SPDX-License-Identifier: Apache-2.0
#include "sync/packed_lines.h"

#include <charconv>
#include <cstdint>
#include <map>

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

struct Parted {
  std::string pattern;
  std::vector<std::int64_t> numbers;
};

Parted part(std::string_view line) {
  Parted parted;
  for (std::size_t at = 0; at < line.size();) {
    const std::size_t end = end_of_number(line, at);
    if (end == at) {
      const char c = line[at++];
      if (c == number_here || c == as_it_is) parted.pattern += as_it_is;
      parted.pattern += c;
      continue;
    }
    std::int64_t number = 0;
    std::from_chars(line.data() + at, line.data() + end, number);
    parted.numbers.push_back(number);
    parted.pattern += number_here;
    at = end;
  }
  return parted;
}

void append_number(std::string& text, std::int64_t number) {
  if (!text.empty() && text.back() != '\n') text += ',';
  text += std::to_string(number);
}

// Takes the next line off, without its line break; empty where there is none.
std::optional<std::string_view> next_line(std::string_view& text) {
  const std::size_t end = text.find('\n');
  if (end == std::string_view::npos) return std::nullopt;
  const std::string_view line = text.substr(0, end);
  text.remove_prefix(end + 1);
  return line;
}

// So many whole numbers with commas between them.
std::optional<std::vector<std::int64_t>> read_numbers(std::optional<std::string_view> line,
                                                      std::size_t count) {
  std::vector<std::int64_t> numbers;
  if (!line) return std::nullopt;
  const char* at = line->data();
  const char* const end = at + line->size();
  while (at != end && numbers.size() < count) {
    const auto [next, error] = std::from_chars(at, end, numbers.emplace_back());
    if (error != std::errc() || (next != end && (*next != ',' || next + 1 == end))) {
      return std::nullopt;
    }
    at = next == end ? end : next + 1;
  }
  return at == end && numbers.size() == count ? std::optional(std::move(numbers)) : std::nullopt;
}

std::size_t places_in(std::string_view pattern) {
  std::size_t places = 0;
  for (std::size_t at = 0; at < pattern.size(); ++at) {
    if (pattern[at] == as_it_is) ++at;
    else places += pattern[at] == number_here;
  }
  return places;
}

struct Column {
  std::vector<std::int64_t> differences;
  std::size_t next = 0;
  std::int64_t number = 0;
};

struct Pattern {
  std::string_view text;
  std::size_t lines = 0;  // that have it
  std::vector<Column> columns;
};

std::optional<std::vector<Pattern>> read_patterns(std::string_view& packed, std::size_t lines) {
  const auto count = read_numbers(next_line(packed), 1);
  if (!count || count->front() < 0 || count->front() > static_cast<std::int64_t>(lines)) {
    return std::nullopt;
  }
  std::vector<Pattern> patterns(static_cast<std::size_t>(count->front()));
  for (Pattern& pattern : patterns) {
    const auto text = next_line(packed);
    if (!text) return std::nullopt;
    pattern.text = *text;
  }
  return patterns;
}

bool read_columns(std::string_view& packed, std::vector<Pattern>& patterns) {
  for (Pattern& pattern : patterns) {
    for (std::size_t place = places_in(pattern.text); place > 0; --place) {
      auto differences = read_numbers(next_line(packed), pattern.lines);
      if (!differences) return false;
      pattern.columns.push_back({std::move(*differences), 0, 0});
    }
  }
  return packed.empty();
}

// Writes the next line of this pattern; false where a number is none that was packed.
bool append_line(std::string& text, Pattern& pattern) {
  auto column = pattern.columns.begin();
  for (std::size_t at = 0; at < pattern.text.size(); ++at) {
    if (pattern.text[at] != number_here) {
      if (pattern.text[at] == as_it_is && ++at == pattern.text.size()) return false;
      text += pattern.text[at];
      continue;
    }
    const std::int64_t difference = column->differences[column->next++];
    if (difference <= -number_end || difference >= number_end) return false;
    column->number += difference;
    if (column->number < 0 || column->number >= number_end) return false;
    text += std::to_string(column->number);
    ++column;
  }
  text += '\n';
  return true;
}

}  // namespace

std::string pack_lines(const std::vector<std::string_view>& lines) {
  std::map<std::string, std::size_t> known;
  std::vector<std::vector<std::string>> columns;  // by pattern and place
  std::vector<std::vector<std::int64_t>> latest;
  std::string patterns, order;
  for (const std::string_view line : lines) {
    const Parted parted = part(line);
    const auto [at, is_new] = known.emplace(parted.pattern, known.size());
    if (is_new) {
      patterns += parted.pattern + '\n';
      columns.emplace_back(parted.numbers.size());
      latest.emplace_back(parted.numbers.size());
    }
    append_number(order, static_cast<std::int64_t>(at->second));
    for (std::size_t place = 0; place < parted.numbers.size(); ++place) {
      std::int64_t& before = latest[at->second][place];
      append_number(columns[at->second][place], parted.numbers[place] - before);
      before = parted.numbers[place];
    }
  }
  std::string packed = std::to_string(known.size()) + '\n' + patterns + order + '\n';
  for (const auto& of_pattern : columns) {
    for (const std::string& column : of_pattern) packed += column + '\n';
  }
  return packed;
}

std::optional<std::string> unpack_lines(std::string_view packed, std::size_t lines,
                                        std::size_t bytes_max) {
  auto patterns = read_patterns(packed, lines);
  if (!patterns) return std::nullopt;
  const auto order = read_numbers(next_line(packed), lines);
  if (!order) return std::nullopt;
  for (const std::int64_t number : *order) {
    if (number < 0 || static_cast<std::size_t>(number) >= patterns->size()) return std::nullopt;
    ++(*patterns)[static_cast<std::size_t>(number)].lines;
  }
  if (!read_columns(packed, *patterns)) return std::nullopt;
  std::string text;
  for (const std::int64_t number : *order) {
    Pattern& pattern = (*patterns)[static_cast<std::size_t>(number)];
    if (!append_line(text, pattern) || text.size() > bytes_max) return std::nullopt;
  }
  return text;
}

}  // namespace nthtree::sync
