// SPDX-License-Identifier: Apache-2.0
#include "orchard/station_file.h"

#include <algorithm>
#include <cstdlib>
#include <set>

#include "base/clock.h"
#include "base/csv.h"
#include "base/text.h"
#include "orchard/limits.h"

namespace nthtree::orchard {
namespace {

char likely_separator(std::string_view text) {
  const std::string_view head = text.substr(0, 4000);
  char best = ',';
  for (const char mark : {';', '\t'}) {
    if (std::count(head.begin(), head.end(), mark) > std::count(head.begin(), head.end(), best)) {
      best = mark;
    }
  }
  return best;
}

std::string lower(std::string text) {
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return text;
}

// The first column whose head has one of these words.
int column_with(const std::vector<std::string>& header, std::initializer_list<const char*> words) {
  for (std::size_t i = 0; i < header.size(); ++i) {
    const std::string head = lower(header[i]);
    for (const char* word : words) {
      if (head.find(word) != std::string::npos) return static_cast<int>(i);
    }
  }
  return -1;
}

// "-1,5" and "-1.5"; empty where it is no number alone.
std::optional<double> number_in(std::string text) {
  std::replace(text.begin(), text.end(), ',', '.');
  const std::size_t first = text.find_first_not_of(" \t");
  if (first == std::string::npos) return std::nullopt;
  char* end = nullptr;
  const double value = std::strtod(text.c_str() + first, &end);
  while (*end == ' ' || *end == '\t') ++end;
  if (*end != '\0' || !(value > -1000 && value < 1000)) return std::nullopt;
  return value;
}

struct WrittenDay {
  int numbers[3] = {};
  int digits_first = 0;  // of the first number
};

// Three numbers parted by anything: "2026-03-04 00:00", "3/4/2026", "04.03.2026", "20260304".
std::optional<WrittenDay> numbers_of_day(const std::string& text) {
  WrittenDay day;
  std::size_t at = 0;
  while (at < text.size() && text[at] == ' ') ++at;
  for (int part = 0; part < 3; ++part) {
    const std::size_t from = at;
    while (at < text.size() && text[at] >= '0' && text[at] <= '9') ++at;
    const std::size_t digits = at - from;
    if (part == 0) day.digits_first = static_cast<int>(digits);
    if (part == 0 && digits == 8) {
      const int whole = std::atoi(text.substr(from, 8).c_str());
      return WrittenDay{{whole / 10000, whole / 100 % 100, whole % 100}, 4};
    }
    if (digits == 0 || digits > 4) return std::nullopt;
    day.numbers[part] = std::atoi(text.substr(from, digits).c_str());
    if (part == 2) break;
    if (at >= text.size() || std::string_view("-/. ").find(text[at]) == std::string_view::npos) {
      return std::nullopt;
    }
    ++at;
  }
  return day;
}

std::optional<std::int64_t> day_of(int year, int month, int day) {
  if (year < 100) year += 2000;
  std::int64_t at_ms = 0;
  if (!base::parse_iso(base::print("%04d-%02d-%02d", year, month, day), at_ms)) return std::nullopt;
  return at_ms / base::day_ms;
}

std::optional<std::int64_t> read_day(const std::string& text, DateForm form) {
  const auto written = numbers_of_day(text);
  if (!written) return std::nullopt;
  const auto& [a, b, c] = written->numbers;
  if (written->digits_first == 4) return day_of(a, b, c);
  return form == DateForm::day_first ? day_of(c, b, a) : day_of(c, a, b);
}

// Whether a table's days can be read either way, or only one.
struct PossibleForms {
  bool day_first = true, month_first = true;
  bool any_open = false;  // a day that is not written year first
};

struct Row {
  int line = 0;
  std::string day;
  double low = 0, high = 0;
};

// The rows that hold a day and two numbers, of the place that was chosen.
class Rows {
 public:
  Rows(const StationTable& table, const StationAnswers& answers, StationDays& told)
      : columns_(answers.columns), told_(told) {
    std::set<std::string> places;
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
      const auto& cells = table.rows[i];
      const std::string place = cell(cells, columns_.place);
      places.insert(place);
      if (answers.place && columns_.place >= 0 && place != *answers.place) continue;
      take(cells, table.first_line + static_cast<int>(i));
    }
    if (!answers.place && places.size() > 1) told.places.assign(places.begin(), places.end());
  }
  const std::vector<Row>& rows() const { return rows_; }

  PossibleForms forms() const {
    PossibleForms forms;
    for (const Row& row : rows_) {
      const auto written = numbers_of_day(row.day);
      if (!written || written->digits_first == 4) continue;
      forms.any_open = true;
      forms.day_first = forms.day_first && read_day(row.day, DateForm::day_first);
      forms.month_first = forms.month_first && read_day(row.day, DateForm::month_first);
    }
    return forms;
  }

 private:
  static std::string cell(const std::vector<std::string>& cells, int column) {
    const bool there = column >= 0 && column < static_cast<int>(cells.size());
    return there ? cells[static_cast<std::size_t>(column)] : "";
  }
  void take(const std::vector<std::string>& cells, int line) {
    const std::string low_text = cell(cells, columns_.low), high_text = cell(cells, columns_.high);
    const auto low = number_in(low_text), high = number_in(high_text);
    const std::string day = cell(cells, columns_.day);
    if (!low || !high || !numbers_of_day(day)) return told_.lines_unread.push_back(line);
    if (*low > *high) return told_.lines_upside_down.push_back(line);
    told_.coldest = rows_.empty() ? *low : std::min(told_.coldest, *low);
    told_.warmest = rows_.empty() ? *high : std::max(told_.warmest, *high);
    rows_.push_back({line, day, *low, *high});
  }

  StationColumns columns_;
  StationDays& told_;
  std::vector<Row> rows_;
};

DayTemperatures in_celsius(const Row& row, DegreeUnit unit) {
  if (unit == DegreeUnit::celsius) return {row.low, row.high};
  return {(row.low - 32) / 1.8, (row.high - 32) / 1.8};
}

bool is_possible(const DayTemperatures& day) {
  return limits::tenths_c.holds(10 * day.low) && limits::tenths_c.holds(10 * day.high);
}

void put_day(std::int64_t day, const DayTemperatures& read, const StationAnswers& answers,
             StationDays& told) {
  const auto [held, is_new] = told.days.emplace(day, read);
  if (is_new || (held->second.low == read.low && held->second.high == read.high)) return;
  if (told.doubled.empty() || told.doubled.back() != day) told.doubled.push_back(day);
  if (answers.same_day == SameDay::last) held->second = read;
}

}  // namespace

base::Result<StationTable> read_station_table(std::string_view text) {
  if (text.size() > station_bytes_max) {
    return base::Error{"too_long", "more than 4 MB", "file"};
  }
  const auto rows = base::read_csv(text, station_rows_max, likely_separator(text));
  if (!rows) return rows.error();
  StationTable table;
  for (const base::CsvRow& row : *rows) {
    if (!table.header.empty()) {
      table.rows.push_back(row);
    } else if (row.size() >= 3) {
      table.header = row;
    } else {
      ++table.first_line;
    }
  }
  if (table.rows.empty()) {
    return base::Error{"no_table", "has no rows with a day and two temperatures", "file"};
  }
  return table;
}

StationColumns likely_columns(const StationTable& table) {
  const auto& head = table.header;
  return {column_with(head, {"date", "day", "fecha", "datum", "jour"}),
          column_with(head, {"min", "low", "tn"}), column_with(head, {"max", "high", "tx"}),
          column_with(head, {"station", "name", "site", "place", "estaci"})};
}

StationDays read_station_days(const StationTable& table, const StationAnswers& answers) {
  StationDays told;
  const Rows rows(table, answers, told);
  const PossibleForms forms = rows.forms();
  const bool either = forms.any_open && forms.day_first && forms.month_first;
  told.asks_date_form = either && !answers.date_form;
  told.asks_unit = !answers.unit;
  if (told.asks_unit || told.asks_date_form || !told.places.empty()) return told;
  const DateForm form = either ? *answers.date_form
                               : (forms.day_first ? DateForm::day_first : DateForm::month_first);
  for (const Row& row : rows.rows()) {
    const auto day = read_day(row.day, form);
    const DayTemperatures read = in_celsius(row, *answers.unit);
    if (!day) {
      told.lines_unread.push_back(row.line);
    } else if (!is_possible(read)) {
      told.lines_impossible.push_back(row.line);
    } else {
      put_day(*day, read, answers, told);
    }
  }
  told.asks_same_day = !told.doubled.empty() && !answers.same_day;
  if (answers.same_day == SameDay::leave_out) {
    for (const std::int64_t day : told.doubled) told.days.erase(day);
  }
  if (told.asks_same_day) told.days.clear();
  if (!told.days.empty()) {
    told.gaps = gaps_in(told.days, told.days.begin()->first, told.days.rbegin()->first);
  }
  return told;
}

std::vector<StationGap> gaps_in(const std::map<std::int64_t, DayTemperatures>& days,
                                std::int64_t first, std::int64_t last) {
  std::vector<StationGap> gaps;
  std::int64_t next = first;
  for (auto at = days.lower_bound(first); at != days.end() && at->first <= last; ++at) {
    if (at->first > next) gaps.push_back({next, at->first - 1});
    next = at->first + 1;
  }
  if (next <= last) gaps.push_back({next, last});
  return gaps;
}

}  // namespace nthtree::orchard
