// SPDX-License-Identifier: Apache-2.0
#include "orchard/station_file.h"

#include <algorithm>
#include <cmath>

#include "base/clock.h"
#include "base/text.h"
#include "ledger/temperature_runs.h"
#include "screens/parts/form.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"
#include "screens/season/station_page.h"

namespace nthtree::screens {
namespace {

using orchard::StationAnswers;
using orchard::StationDays;
using orchard::StationTable;

constexpr double alike_c = 0.6;  // rounding of another unit, not another value

std::string head_of(const StationTable& table) {
  std::string head;
  for (const std::string& cell : table.header) head += cell + " | ";
  return head;
}

// As it was told for a file with the same head, else as the head's words have it.
orchard::StationColumns columns_before(const Frame& frame, const StationTable& table) {
  const auto& told = frame.session.station.columns;
  const auto found = told.find(head_of(table));
  return found != told.end() ? found->second : orchard::likely_columns(table);
}

class StationForm {
 public:
  StationForm(Frame& frame, const StationTable& table)
      : frame_(frame), form_(frame), table_(table) {}

  void draw();
  bool may_keep() const { return days_.complete() && !name_.empty() && form_.ok(); }
  int days() const { return static_cast<int>(days_.days.size()); }
  void keep();

 private:
  int column(const char* id, const char* key, int value, bool optional = false);
  std::optional<int> one_of(const char* id, const std::string& label,
                            const std::vector<std::string>& items);
  void ask_columns();
  void ask_what_is_open();
  void say_what_is_wrong();
  void say_what_was_read();
  void other_values();
  std::string place_in_file() const;

  Frame& frame_;
  Form form_;
  const StationTable& table_;
  StationAnswers answers_;
  StationDays days_;
  std::string name_;
};

int StationForm::column(const char* id, const char* key, int value, bool optional) {
  std::vector<std::string> items = table_.header;
  for (std::string& item : items) {
    if (item.empty()) item = "?";
  }
  if (optional) items.insert(items.begin(), tr("station.no_column"));
  const int shift = optional ? 1 : 0;
  return form_.folded_list(std::string("station/") + id, tr(key), items,
                           std::max(0, value + shift)) - shift;
}

// Nothing is chosen for the person.
std::optional<int> StationForm::one_of(const char* id, const std::string& label,
                                       const std::vector<std::string>& items) {
  const int chosen = form_.list(std::string("station/") + id, label, items, -1);
  return chosen < 0 ? std::nullopt : std::optional<int>(chosen);
}

void StationForm::ask_columns() {
  const orchard::StationColumns before = columns_before(frame_, table_);
  answers_.columns.day = column("day", "station.day", before.day);
  answers_.columns.low = column("low", "station.low", before.low);
  answers_.columns.high = column("high", "station.high", before.high);
  answers_.columns.place = column("place", "station.place", before.place, true);
}

void StationForm::ask_what_is_open() {
  // Each answer may open the next question, so the table is read again after each.
  days_ = orchard::read_station_days(table_, answers_);
  const std::string ends = tr("station.ends", {{"low", number(days_.coldest, 1)},
                                               {"high", number(days_.warmest, 1)}});
  if (days_.asks_unit) paragraph(frame_.ui, ends);
  const auto unit = one_of("unit", tr("station.unit"), {"°C", "°F"});
  if (unit) answers_.unit = static_cast<orchard::DegreeUnit>(*unit);
  if (days_.asks_date_form) {
    const auto form = one_of("form", tr("station.form"),
                             {tr("station.form.day"), tr("station.form.month")});
    if (form) answers_.date_form = static_cast<orchard::DateForm>(*form);
  }
  if (!days_.places.empty()) {
    const std::vector<std::string> places = days_.places;
    const auto place = one_of("of", tr("station.which"), places);
    if (place) answers_.place = places[static_cast<std::size_t>(*place)];
  }
  days_ = orchard::read_station_days(table_, answers_);
  if (days_.doubled.empty()) return;
  notice(frame_.ui, {.id = "doubled", .tone = Tone::caution,
                     .text = tr_count("station.doubled", static_cast<int>(days_.doubled.size()),
                                      {{"date", date_year_text(days_.doubled.front())}})});
  const auto same = one_of("same", tr("station.same"),
                           {tr("station.same.first"), tr("station.same.last"),
                            tr("station.same.none")});
  if (same) answers_.same_day = static_cast<orchard::SameDay>(*same);
  days_ = orchard::read_station_days(table_, answers_);
}

void StationForm::say_what_is_wrong() {
  const auto say = [&](const char* id, const std::vector<int>& lines) {
    if (lines.empty()) return;
    notice(frame_.ui, {.id = id, .tone = Tone::caution,
                       .text = tr_count(std::string("station.") + id,
                                        static_cast<int>(lines.size()),
                                        {{"line", whole(lines.front())}})});
  };
  say("unread", days_.lines_unread);
  say("upside_down", days_.lines_upside_down);
  say("impossible", days_.lines_impossible);
  if (days_.gaps.empty()) return;
  std::int64_t missing = 0;
  for (const auto& gap : days_.gaps) missing += gap.last - gap.first + 1;
  notice(frame_.ui, {.id = "gaps", .tone = Tone::caution,
                     .text = tr_count("station.gaps", static_cast<int>(missing),
                                      {{"first", date_year_text(days_.gaps.front().first)}})});
}

// Days that were held with other values: a file in the wrong unit shows here too.
void StationForm::other_values() {
  const auto held = frame_.season.stations().find(name_);
  if (held == frame_.season.stations().end()) return;
  int others = 0;
  for (const auto& [day, read] : days_.days) {
    const auto before = held->second.days.find(day);
    if (before == held->second.days.end()) continue;
    others += std::fabs(before->second.low - read.low) > alike_c ||
              std::fabs(before->second.high - read.high) > alike_c;
  }
  if (others == 0) return;
  notice(frame_.ui, {.id = "others", .tone = Tone::caution,
                     .text = tr_count("station.others", others)});
}

void StationForm::say_what_was_read() {
  const auto& [first, low] = *days_.days.begin();
  const auto& [last, high] = *days_.days.rbegin();
  double coldest = low.low, warmest = high.high;
  for (const auto& [day, read] : days_.days) {
    coldest = std::min(coldest, read.low);
    warmest = std::max(warmest, read.high);
  }
  const std::string unit = degree_unit(frame_);
  fact(frame_.ui, tr_count("station.days", days()),
       tr("when.window", {{"early", date_year_text(first)}, {"late", date_year_text(last)}}));
  fact(frame_.ui, tr("station.coldest"), number(shown_degrees(frame_, coldest), 1) + " " + unit);
  fact(frame_.ui, tr("station.warmest"), number(shown_degrees(frame_, warmest), 1) + " " + unit);
}

// What the file calls the place: the one that was chosen, or the only one.
std::string StationForm::place_in_file() const {
  if (answers_.place) return *answers_.place;
  const auto column = static_cast<std::size_t>(answers_.columns.place);
  const bool is_named = answers_.columns.place >= 0 && column < table_.rows.front().size();
  return is_named ? table_.rows.front()[column] : "";
}

void StationForm::draw() {
  paragraph(frame_.ui, tr("station.text"));
  ask_columns();
  ask_what_is_open();
  say_what_is_wrong();
  if (!days_.complete()) return;
  say_what_was_read();
  name_ = asked_station_name(frame_, form_, place_in_file());
  other_values();
}

void StationForm::keep() {
  SaveRecords save;
  for (ledger::Temperatures& run : ledger::temperature_runs(name_, days_.days)) {
    save.bodies.push_back(std::move(run));
  }
  frame_.want(save);
  frame_.want(StationKept{head_of(table_), answers_.columns});
}

}  // namespace

std::string asked_station_name(Frame& frame, Form& form, const std::string& in_file) {
  const std::string held = frame.season.weather().station;
  const std::string usual = held.empty() ? tr("station.yard") : held;
  const std::string name = form.text({.id = "station/name", .label = tr("station.name"),
                                      .value = in_file.empty() ? usual : in_file});
  if (held.empty() || name.empty() || frame.season.stations().contains(name)) return name;
  if (notice(frame.ui, {.id = "moved", .tone = Tone::caution,
                        .text = tr("station.moved", {{"name", held}}),
                        .action = tr("station.same_place", {{"name", held}})})) {
    frame.want(SetField{"station/name", held});
  }
  return name;
}

std::string iso_day(std::int64_t day) { return base::iso_minute(day * base::day_ms).substr(0, 10); }

double shown_degrees(const Frame& frame, double celsius) {
  return frame.season.farm().us_units ? celsius * 1.8 + 32 : celsius;
}

double typed_celsius(const Frame& frame, double shown) {
  return frame.season.farm().us_units ? (shown - 32) / 1.8 : shown;
}

const char* degree_unit(const Frame& frame) {
  return frame.season.farm().us_units ? "°F" : "°C";
}

// What is wrong with the file, with its line where there is one.
std::string no_table_text(const base::Error& error) {
  const std::size_t digit = error.where.find_first_of("0123456789");
  if (digit == std::string::npos) return tr("station.no_table");
  return tr("station.broken_line", {{"line", error.where.substr(digit)}});
}

void draw_station_file(Frame& frame) {
  const auto table = orchard::read_station_table(frame.session.station.text);
  open(frame, {.key = "station", .title = tr("station.title"),
               .actions = {{.id = "keep", .label = tr("station.keep"), .enabled = table.ok(),
                            .weight = 1.7f},
                           {.id = "away", .label = tr("station.away"), .kind = Kind::quiet}}});
  if (!table) {
    notice(frame.ui, {.id = "no_table", .tone = Tone::trouble,
                      .text = no_table_text(table.error())});
  } else {
    StationForm form(frame, *table);
    form.draw();
    if (frame.bar.action == "keep") {
      if (form.may_keep()) form.keep();
      else frame.ui.announce(tr("station.first_answer"), true);
    }
    if (!form.may_keep()) small_print(frame.ui, tr("station.first_answer"));
  }
  if (frame.bar.action == "away") frame.want(StationAway{});
  finish(frame);
}

}  // namespace nthtree::screens
