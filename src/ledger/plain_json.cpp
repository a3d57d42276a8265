// SPDX-License-Identifier: Apache-2.0
#include "ledger/plain_json.h"

#include <array>
#include <cstring>

namespace nthtree::ledger {
namespace {

// Printable ASCII that ends no text and begins no escape.
constexpr auto plain_letters = [] {
  std::array<bool, 256> plain{};
  for (unsigned c = ' '; c <= '~'; ++c) plain[c] = c != '"' && c != '\\';
  return plain;
}();

constexpr int digits_max = 15;
constexpr double powers_of_ten[digits_max + 1] = {1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9,
                                                  1e10, 1e11, 1e12, 1e13, 1e14, 1e15};

bool is_digit(char c) { return c >= '0' && c <= '9'; }

// One of 64 bits: the same for the same names, and for others mostly not.
std::uint64_t mark_of(std::string_view name) {
  if (name.empty()) return 1;
  const auto letter = [&](std::size_t i) { return static_cast<unsigned char>(name[i]); };
  return std::uint64_t{1} << ((name.size() * 11 + letter(0) * 7 + letter(name.size() - 1)) & 63);
}

bool is_at(const char* at, const char* end, char c) { return at != end && *at == c; }

const char* word(const char* at, const char* end, std::string_view word) {
  const std::string_view rest(at, static_cast<std::size_t>(end - at));
  return rest.starts_with(word) ? at + word.size() : nullptr;
}

// A text between its quotes, the first of which stands at `at`.
const char* text(const char* at, const char* end, std::string_view& out) {
  const char* const first = ++at;
  while (at != end && plain_letters[static_cast<unsigned char>(*at)]) ++at;
  if (!is_at(at, end, '"')) return nullptr;
  out = {first, static_cast<std::size_t>(at - first)};
  return at + 1;
}

// Both parts of a decimal below are exact doubles, so that their quotient is the double nearest to
// what is written: the same that a careful reader gives (W. D. Clinger, PLDI 1990).
const char* number(const char* at, const char* end, PlainJson::Part& part) {
  const char* const begin = at;
  const bool negative = *at == '-';
  if (negative) ++at;
  std::uint64_t digits = 0;  // beyond digits_max it may wrap, and is not looked at
  const char* const first = at;
  for (; at != end && is_digit(*at); ++at) {
    digits = 10 * digits + static_cast<unsigned char>(*at - '0');
  }
  std::ptrdiff_t count = at - first;
  if (count == 0 || (*first == '0' && (count > 1 || negative))) return nullptr;
  part.kind = PlainJson::Kind::whole;
  std::ptrdiff_t decimals = 0;
  if (is_at(at, end, '.')) {
    part.kind = PlainJson::Kind::decimal;
    const char* const point = at++;
    for (; at != end && is_digit(*at); ++at) {
      digits = 10 * digits + static_cast<unsigned char>(*at - '0');
    }
    decimals = at - point - 1;
    count += decimals;
    if (decimals == 0) return nullptr;
  }
  if (count > digits_max || is_at(at, end, 'e') || is_at(at, end, 'E')) return nullptr;
  const auto whole = static_cast<double>(static_cast<std::int64_t>(digits));
  part.number = negative ? -whole : whole;
  if (decimals > 0) part.number /= powers_of_ten[decimals];
  part.value = {begin, static_cast<std::size_t>(at - begin)};
  return at;
}

}  // namespace

const char* PlainJson::items(const char* at, std::size_t owner, int depth) {
  if (is_at(at, end_, ']')) {
    parts_[owner].end = static_cast<std::uint8_t>(count_);
    return at + 1;
  }
  for (;; ++at) {
    at = value(at, {}, depth);
    if (!at || at == end_) return nullptr;
    if (*at != ',') break;
  }
  parts_[owner].end = static_cast<std::uint8_t>(count_);
  return *at == ']' ? at + 1 : nullptr;
}

const char* PlainJson::fields(const char* at, std::size_t owner, int depth) {
  Part& object = parts_[owner];
  if (is_at(at, end_, '}')) return at + 1;
  for (;; ++at) {
    std::string_view name;
    if (!is_at(at, end_, '"')) return nullptr;
    at = text(at, end_, name);
    if (!at || !is_at(at, end_, ':')) return nullptr;
    const std::uint64_t mark = mark_of(name);
    if ((object.marks & mark) != 0 && find(object, name)) return nullptr;
    object.marks |= mark;
    at = value(at + 1, name, depth);
    if (!at || at == end_) return nullptr;
    object.end = static_cast<std::uint8_t>(count_);
    if (*at != ',') break;
  }
  return *at == '}' ? at + 1 : nullptr;
}

const char* PlainJson::value(const char* at, std::string_view name, int depth) {
  if (count_ == parts_max || depth > depth_max || at == end_) return nullptr;
  const std::size_t here = count_++;
  Part& part = parts_[here];
  part = {};
  part.name = name;
  part.end = static_cast<std::uint8_t>(count_);
  switch (*at) {
    case '"': part.kind = Kind::text; return text(at, end_, part.value);
    case 't': part.kind = Kind::yes; return word(at, end_, "true");
    case 'f': part.kind = Kind::no; return word(at, end_, "false");
    case '[': part.kind = Kind::list; return items(at + 1, here, depth + 1);
    case '{': part.kind = Kind::object; return fields(at + 1, here, depth + 1);
    default: return number(at, end_, part);
  }
}

bool PlainJson::read(std::string_view text) {
  count_ = 0;
  end_ = text.data() + text.size();
  return text.starts_with('{') && value(text.data(), {}, 0) == end_;
}

const PlainJson::Part* PlainJson::find_between(std::size_t begin, std::size_t end,
                                               std::string_view name) const {
  for (std::size_t i = begin; i < end; i = parts_[i].end) {
    if (parts_[i].name == name) return &parts_[i];
  }
  return nullptr;
}

const PlainJson::Part* PlainJson::find(const Part& object, std::string_view name,
                                       const Part* after) const {
  const std::size_t first = inner(object), begin = after ? after->end : first;
  if (begin < object.end && parts_[begin].name == name) return &parts_[begin];
  if ((object.marks & mark_of(name)) == 0) return nullptr;
  const Part* const behind = find_between(begin, object.end, name);
  return behind ? behind : find_between(first, begin, name);
}

}  // namespace nthtree::ledger
