// SPDX-License-Identifier: Apache-2.0
#include "ledger/plain_json.h"

namespace nthtree::ledger {

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
  const char* begin = at_;
  while (at_ != end_ && *at_ >= ' ' && *at_ <= '~' && *at_ != '"' && *at_ != '\\') ++at_;
  out = {begin, static_cast<std::size_t>(at_ - begin)};
  return take('"');
}

// Both parts of a decimal below are exact doubles, so that their quotient is the double nearest to
// what is written: the same that a careful reader gives (W. D. Clinger, PLDI 1990).
bool PlainJson::number(Part& part) {
  constexpr int digits_max = 15;
  const bool negative = take('-');
  const auto is_digit = [&] { return at_ != end_ && *at_ >= '0' && *at_ <= '9'; };
  if (!is_digit()) return false;
  const bool begins_with_zero = *at_ == '0';
  double digits = 0, power = 1;
  int count = 0;
  for (; is_digit(); ++at_, ++count) digits = 10 * digits + (*at_ - '0');
  if (begins_with_zero && (count > 1 || negative)) return false;
  part.kind = Kind::whole;
  if (take('.')) {
    part.kind = Kind::decimal;
    const int before = count;
    for (; is_digit(); ++at_, ++count, power *= 10) digits = 10 * digits + (*at_ - '0');
    if (count == before) return false;
  }
  if (count > digits_max || (at_ != end_ && (*at_ == 'e' || *at_ == 'E'))) return false;
  part.number = (negative ? -digits : digits) / power;
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
  if (!take('}')) {
    do {
      std::string_view name;
      if (!text(name) || !take(':')) return false;
      parts_[owner].end = static_cast<std::uint8_t>(count_);
      if (find(parts_[owner], name)) return false;
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

const PlainJson::Part* PlainJson::find(const Part& object, std::string_view name) const {
  for (std::size_t i = inner(object); i < object.end; i = parts_[i].end) {
    if (parts_[i].name == name) return &parts_[i];
  }
  return nullptr;
}

}  // namespace nthtree::ledger
