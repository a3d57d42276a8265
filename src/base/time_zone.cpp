// SPDX-License-Identifier: Apache-2.0
#include "base/time_zone.h"

#include <algorithm>
#include <string>

namespace nthtree::base {
namespace {

constexpr std::int64_t minute_ms = 60000, day_ms = 1440 * minute_ms;
// POSIX, and the extension of RFC 8536, 3.3.1.
constexpr int hours_max = 24, change_hours_max = 167;

std::int64_t floor_div(std::int64_t a, std::int64_t b) { return a / b - (a % b < 0 ? 1 : 0); }

// Days since 1970-01-01 of the first of a month, and the year of a day; proleptic Gregorian, years
// counted from March so that the odd day is the last (H. Hinnant, "chrono-Compatible Low-Level Date
// Algorithms", days_from_civil and civil_from_days).
std::int64_t first_day_of(std::int64_t year, int month) {
  const std::int64_t from_march = month > 2 ? year : year - 1;
  const std::int64_t era = floor_div(from_march, 400);
  const std::int64_t of_era = from_march - era * 400;
  const std::int64_t of_year = (153 * (month > 2 ? month - 3 : month + 9) + 2) / 5;
  return era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719468;
}

std::int64_t year_of(std::int64_t day) {
  std::int64_t year = 1970 + floor_div(day, 366);
  while (first_day_of(year + 1, 1) <= day) ++year;
  return year;
}

std::optional<int> read_number(std::string_view& text, int most) {
  int value = 0;
  std::size_t digits = 0;
  while (digits < text.size() && digits < 4 && text[digits] >= '0' && text[digits] <= '9') {
    value = 10 * value + (text[digits++] - '0');
  }
  if (digits == 0 || value > most) return std::nullopt;
  text.remove_prefix(digits);
  return value;
}

bool take(std::string_view& text, char sign) {
  if (text.empty() || text[0] != sign) return false;
  text.remove_prefix(1);
  return true;
}

// "8", "-5:30": minutes; seconds are read and left out.
std::optional<int> read_minutes(std::string_view& text, int most_hours) {
  const bool negative = take(text, '-');
  if (!negative) take(text, '+');
  const auto hours = read_number(text, most_hours);
  if (!hours) return std::nullopt;
  int minutes = *hours * 60;
  for (const int scale : {1, 0}) {
    if (!take(text, ':')) break;
    const auto part = read_number(text, 59);
    if (!part) return std::nullopt;
    minutes += scale * *part;
  }
  return negative ? -minutes : minutes;
}

// "PST" or "<-08>".
bool skip_name(std::string_view& text) {
  const bool quoted = take(text, '<');
  const auto in_name = [&](char c) {
    const bool letter = (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
    return letter || (quoted && ((c >= '0' && c <= '9') || c == '+' || c == '-'));
  };
  const auto end = std::find_if_not(text.begin(), text.end(), in_name);
  const auto length = static_cast<std::size_t>(end - text.begin());
  if (length < 3) return false;
  text.remove_prefix(length);
  return !quoted || take(text, '>');
}

}  // namespace

TimeZone TimeZone::fixed(int offset_minutes) {
  TimeZone zone;
  zone.standard_minutes_ = zone.summer_minutes_ = offset_minutes;
  return zone;
}

std::optional<TimeZone::Change> TimeZone::read_change(std::string_view& rule) {
  Change change;
  if (!take(rule, ',') || !take(rule, 'M')) return std::nullopt;
  const auto month = read_number(rule, 12);
  if (!month || *month < 1 || !take(rule, '.')) return std::nullopt;
  const auto week = read_number(rule, 5);
  if (!week || *week < 1 || !take(rule, '.')) return std::nullopt;
  const auto weekday = read_number(rule, 6);
  if (!weekday) return std::nullopt;
  change.month = *month;
  change.week = *week;
  change.weekday = *weekday;
  if (take(rule, '/')) {
    const auto minute = read_minutes(rule, change_hours_max);
    if (!minute) return std::nullopt;
    change.minute = *minute;
  }
  return change;
}

Result<TimeZone> TimeZone::parse(std::string_view rule) {
  const Error wrong{"not_a_time_zone",
                    "A time zone is written as POSIX has it for TZ, with months: "
                    "<-08>8<-07>,M3.2.0,M11.1.0.",
                    std::string(rule)};
  if (!skip_name(rule)) return wrong;
  const auto west = read_minutes(rule, hours_max);
  if (!west) return wrong;
  TimeZone zone = fixed(-*west);
  if (rule.empty()) return zone;
  if (!skip_name(rule)) return wrong;
  zone.summer_minutes_ = zone.standard_minutes_ + 60;
  if (!rule.empty() && rule[0] != ',') {
    const auto summer = read_minutes(rule, hours_max);
    if (!summer) return wrong;
    zone.summer_minutes_ = -*summer;
  }
  zone.begins_ = read_change(rule);
  zone.ends_ = read_change(rule);
  if (!zone.begins_ || !zone.ends_ || !rule.empty()) return wrong;
  return zone;
}

std::int64_t TimeZone::wall_ms_of(const Change& change, std::int64_t year) const {
  const std::int64_t first = first_day_of(year, change.month);
  const std::int64_t next =
      change.month == 12 ? first_day_of(year + 1, 1) : first_day_of(year, change.month + 1);
  const std::int64_t weekday = (first % 7 + 11) % 7;  // 1970-01-01 was a Thursday
  std::int64_t day = first + (change.weekday - weekday + 7) % 7 + 7 * (change.week - 1);
  if (day >= next) day -= 7;
  return day * day_ms + change.minute * minute_ms;
}

int TimeZone::offset_minutes(std::int64_t at_ms) const {
  if (!begins_) return standard_minutes_;
  const std::int64_t year = year_of(floor_div(at_ms + standard_minutes_ * minute_ms, day_ms));
  const std::int64_t begins = wall_ms_of(*begins_, year) - standard_minutes_ * minute_ms;
  const std::int64_t ends = wall_ms_of(*ends_, year) - summer_minutes_ * minute_ms;
  const bool summer = begins < ends ? at_ms >= begins && at_ms < ends   // the north
                                    : at_ms >= begins || at_ms < ends;  // the south
  return summer ? summer_minutes_ : standard_minutes_;
}

std::int64_t TimeZone::moment_of(std::int64_t wall_ms) const {
  for (const int minutes : {std::max(standard_minutes_, summer_minutes_),
                            std::min(standard_minutes_, summer_minutes_)}) {
    const std::int64_t at_ms = wall_ms - minutes * minute_ms;
    if (offset_minutes(at_ms) == minutes) return at_ms;
  }
  return wall_ms - std::min(standard_minutes_, summer_minutes_) * minute_ms;
}

}  // namespace nthtree::base
