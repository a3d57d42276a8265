// SPDX-License-Identifier: Apache-2.0
//
// A weather station's file of daily temperatures: a table of any columns, told once which is which.
//
// Nothing is guessed. What the file leaves open (Celsius or Fahrenheit, 3/4 as March or April, a
// day that stands twice, days of two places) is named, and no day is given back before it is
// answered. Days are days since 1970-01-01, temperatures °C. Does not model: hours; a file with a
// row an hour has every day many times, and is said to have.
//
//   auto table = read_station_table(text);
//   StationDays days = read_station_days(*table, {.columns = {0, 3, 2}, .unit = ...});
//   if (days.complete()) for (const auto& [day, t] : days.days) …
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "orchard/degree_days.h"

namespace nthtree::orchard {

inline constexpr std::size_t station_bytes_max = 4u << 20;  // forty years of days, with room
inline constexpr std::size_t station_rows_max = 40000;

struct StationTable {
  std::vector<std::string> header;  // as the file names its columns
  std::vector<std::vector<std::string>> rows;
  int first_line = 2;               // of the file, where rows begin
};

enum class DegreeUnit { celsius, fahrenheit };
enum class DateForm { day_first, month_first };  // of "3/4/2026"; 2026-03-04 needs none
enum class SameDay { first, last, leave_out };

struct StationColumns {
  int day = -1, low = -1, high = -1;
  int place = -1;  // of files with several stations; -1: the file has one
  bool told() const { return day >= 0 && low >= 0 && high >= 0; }
  friend bool operator==(const StationColumns&, const StationColumns&) = default;
};

// What was answered so far.
struct StationAnswers {
  StationColumns columns;
  std::optional<DegreeUnit> unit;
  std::optional<DateForm> date_form;
  std::optional<SameDay> same_day;
  std::optional<std::string> place;
};

struct StationGap {  // days that are missing, both included
  std::int64_t first = 0, last = 0;
};

struct StationDays {
  std::map<std::int64_t, DayTemperatures> days;  // in °C; empty while anything is open
  bool asks_unit = false, asks_date_form = false, asks_same_day = false;
  std::vector<std::string> places;  // more than one, and none was chosen
  double coldest = 0, warmest = 0;  // as the file has them, of the rows that were read
  std::vector<std::int64_t> doubled;       // days that stand twice, with other values
  std::vector<int> lines_unread;           // no day, or no number
  std::vector<int> lines_upside_down;      // the low above the high
  std::vector<int> lines_impossible;       // in that unit no orchard is so cold or hot
  std::vector<StationGap> gaps;
  bool complete() const {
    return !asks_unit && !asks_date_form && !asks_same_day && places.empty() && !days.empty();
  }
};

// Parts cells at commas, semicolons or tabs, by which the head has most of; lines before the head
// (under three cells) are left out. Errors: not_csv, too_long, no_table.
base::Result<StationTable> read_station_table(std::string_view text);

// Columns whose heads say day, low and high, to begin from; a person says whether it is so.
StationColumns likely_columns(const StationTable& table);

StationDays read_station_days(const StationTable& table, const StationAnswers& answers);

// Days without temperatures from `first` to `last`.
std::vector<StationGap> gaps_in(const std::map<std::int64_t, DayTemperatures>& days,
                                std::int64_t first, std::int64_t last);

}  // namespace nthtree::orchard
