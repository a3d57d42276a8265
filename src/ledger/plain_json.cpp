// SPDX-License-Identifier: Apache-2.0
#include "ledger/plain_json.h"

#include <array>
#include <utility>

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

}  // namespace

bool PlainJson::take(char c) {
  if (at_ == end_ || *at_ != c) return false;
  ++at_;
  return true;
}

bool PlainJson::word(std::string_view word) {
  const std::string_view rest(at_, static_cast<std::size_t>(end_ - at_));
  if (!rest.starts_with(word)) return false;
  at_ += word.size();
  return true;
}

bool PlainJson::text(std::string_view& out) {
  if (!take('"')) return false;
  const char* at = at_;
  while (at != end_ && plain_letters[static_cast<unsigned char>(*at)]) ++at;
  out = {at_, static_cast<std::size_t>(at - at_)};
  at_ = at;
  return take('"');
}

// Both parts of a decimal below are exact doubles, so that their quotient is the double nearest to
// what is written: the same that a careful reader gives (W. D. Clinger, PLDI 1990).
bool PlainJson::number(Part& part) {
  const bool negative = take('-');
  std::uint64_t digits = 0;  // beyond digits_max it may wrap, and is not looked at
  const auto take_digits = [&] {
    const char* at = at_;
    for (; at != end_ && is_digit(*at); ++at) {
      digits = 10 * digits + static_cast<unsigned char>(*at - '0');
    }
    return static_cast<int>(at - std::exchange(at_, at));
  };
  const bool begins_with_zero = at_ != end_ && *at_ == '0';
  int count = take_digits();
  int decimals = 0;
  if (count == 0) return false;
  if (begins_with_zero && (count > 1 || negative)) return false;
  part.kind = Kind::whole;
  if (take('.')) {
    part.kind = Kind::decimal;
    decimals = take_digits();
    count += decimals;
    if (decimals == 0) return false;
  }
  if (count > digits_max || (at_ != end_ && (*at_ == 'e' || *at_ == 'E'))) return false;
  const auto whole = static_cast<double>(digits);
  part.number = negative ? -whole : whole;
  if (decimals > 0) part.number /= powers_of_ten[decimals];
  return true;
}

bool PlainJson::items(std::size_t owner, int depth) {
  if (!take(']')) {
    do {
      if (!value({}, depth)) return false;
    } while (take(','));
    if (!take(']')) return false;
  }
  parts_[owner].end = static_cast<std::uint8_t>(count_);
  return true;
}

bool PlainJson::fields(std::size_t owner, int depth) {
  std::uint64_t seen = 0;  // marks of the names so far
  if (!take('}')) {
    do {
      std::string_view name;
      if (!text(name) || !take(':')) return false;
      parts_[owner].end = static_cast<std::uint8_t>(count_);
      const std::uint64_t mark = mark_of(name);
      if ((seen & mark) != 0 && find(parts_[owner], name)) return false;
      seen |= mark;
      if (!value(name, depth)) return false;
    } while (take(','));
    if (!take('}')) return false;
  }
  parts_[owner].end = static_cast<std::uint8_t>(count_);
  return true;
}

bool PlainJson::value(std::string_view name, int depth) {
  if (count_ == parts_max || at_ == end_) return false;
  const std::size_t here = count_++;
  Part& part = parts_[here];
  part = {};
  part.name = name;
  part.end = static_cast<std::uint8_t>(count_);
  switch (*at_) {
    case '"': part.kind = Kind::text; return text(part.value);
    case 't': part.kind = Kind::yes; return word("true");
    case 'f': part.kind = Kind::no; return word("false");
    case '[': part.kind = Kind::list; ++at_; return depth < depth_max && items(here, depth + 1);
    case '{': part.kind = Kind::object; ++at_; return depth < depth_max && fields(here, depth + 1);
    default: return number(part);
  }
}

bool PlainJson::read(std::string_view text) {
  count_ = 0;
  at_ = text.data();
  end_ = at_ + text.size();
  return text.starts_with('{') && value({}, 0) && at_ == end_;
}

const PlainJson::Part* PlainJson::find(const Part& object, std::string_view name,
                                       const Part* after) const {
  const std::size_t first = inner(object);
  const std::size_t begin = after ? after->end : first;
  for (std::size_t i = begin; i < object.end; i = parts_[i].end) {
    if (parts_[i].name == name) return &parts_[i];
  }
  for (std::size_t i = first; i < begin; i = parts_[i].end) {
    if (parts_[i].name == name) return &parts_[i];
  }
  return nullptr;
}

}  // namespace nthtree::ledger
