// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/typed_number.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "base/text.h"
#include "widgets/language.h"

namespace nthtree::screens {
namespace {

constexpr std::size_t digits_max = 20;
constexpr char space_sign = ' ';

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool all_digits(std::string_view text) { return std::all_of(text.begin(), text.end(), is_digit); }

// Spaces of every width and apostrophes as one sign, every minus as one; ends trimmed.
std::string plain_signs(std::string_view text) {
  std::string plain(text);
  const auto replace = [&](std::string_view sign, char by) {
    for (std::size_t at = 0; (at = plain.find(sign, at)) != std::string::npos;) {
      plain.replace(at, sign.size(), 1, by);
    }
  };
  for (const char* space : {"\t", "\u00a0", "\u2009", "\u202f", "'", "’"}) {
    replace(space, space_sign);
  }
  replace("−", '-');
  const std::size_t first = plain.find_first_not_of(space_sign);
  if (first == std::string::npos) return "";
  return plain.substr(first, plain.find_last_not_of(space_sign) - first + 1);
}

// Groups behind the first, the last one of three digits: "350,000", or as India writes, "50,000".
bool are_groups(std::string_view text, char sign, std::size_t width) {
  while (!text.empty()) {
    if (text[0] != sign) return false;
    const std::size_t digits = text.size() == 4 ? 3 : width;
    if (text.size() <= digits || !all_digits(text.substr(1, digits))) return false;
    text.remove_prefix(digits + 1);
    if (digits == 2 && text.empty()) return false;
  }
  return true;
}

// "1350", or "1,350,000" with one sign throughout.
bool is_whole_part(std::string_view text) {
  if (all_digits(text)) return true;
  const std::size_t first = text.find_first_not_of("0123456789");
  if (first < 1 || first > 3 || text[0] == '0') return false;
  const std::string_view groups = text.substr(first);
  return are_groups(groups, text[first], 3) || are_groups(groups, text[first], 2);
}

// `point`: where the decimal sign stands; npos: nowhere.
void add_reading(std::vector<double>& readings, std::string_view text, std::size_t point) {
  const std::string_view whole = text.substr(0, point);
  const std::string_view fraction =
      point == std::string_view::npos ? std::string_view() : text.substr(point + 1);
  if (whole.empty() && fraction.empty()) return;
  if (!is_whole_part(whole) || !all_digits(fraction)) return;
  std::string plain;
  for (const char c : whole) {
    if (is_digit(c)) plain += c;
  }
  plain += '.';
  plain += fraction;
  if (plain.size() > digits_max) return;
  readings.push_back(std::strtod(plain.c_str(), nullptr));
}

}  // namespace

std::vector<double> readings_of(std::string_view text) {
  const std::string plain = plain_signs(text);
  const bool negative = !plain.empty() && plain[0] == '-';
  const std::string_view amount = std::string_view(plain).substr(negative ? 1 : 0);
  std::vector<double> readings;
  if (!amount.empty()) add_reading(readings, amount, std::string_view::npos);
  const std::size_t point = amount.find_last_of(".,");
  const bool once = point != std::string_view::npos && amount.find(amount[point]) == point;
  if (once) add_reading(readings, amount, point);
  if (negative) {
    for (double& value : readings) value = -value;
  }
  return readings;
}

TypedNumber typed_number(std::string_view text, orchard::Range range, bool whole) {
  using State = TypedNumber::State;
  if (plain_signs(text).empty()) return {State::empty};
  std::vector<double> readings = readings_of(text);
  if (whole && readings.size() > 1) readings.pop_back();
  const auto broken = [](double value) { return value != std::floor(value); };
  if (readings.empty() || (whole && broken(readings[0]))) return {State::no_number};
  std::vector<double> fitting;
  for (const double value : readings) {
    if (range.holds(value)) fitting.push_back(value);
  }
  if (fitting.empty()) return {State::outside, readings[0]};
  if (fitting.size() == 1) return {State::fits, fitting[0]};
  return {State::either, fitting[0], fitting[1]};
}

std::string field_number(double value, int decimals) {
  std::string text = base::print("%.*f", decimals, value);
  const std::size_t point = text.find('.');
  if (point == std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') {
    text.pop_back();
  } else {
    text.replace(point, 1, widgets::tr("format.decimal"));
  }
  return text;
}

std::string unmistakable_number(double value) {
  const std::string text = field_number(value, 3);
  return readings_of(text).size() > 1 ? text + '0' : text;
}

}  // namespace nthtree::screens
