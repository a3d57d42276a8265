// SPDX-License-Identifier: Apache-2.0
// Lowest and highest temperatures day by day: typed, or from a station's file.
#include <cmath>

#include "base/clock.h"
#include "base/text.h"
#include "ledger/temperature_runs.h"
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"
#include "screens/season/station_page.h"

namespace nthtree::screens {
namespace {

constexpr const char* day_field = "temperatures/day";
constexpr const char* low_field = "temperatures/low";
constexpr const char* high_field = "temperatures/high";

// The station whose days are shown and typed on: the one that came last, or the one that is chosen.
const ledger::Weather& shown_station(Frame& frame, Form& form) {
  const auto& stations = frame.season.stations();
  const ledger::Weather& last = frame.season.weather();
  if (stations.size() < 2) return last;
  std::vector<std::string> names;
  int at = 0;
  for (const auto& [name, weather] : stations) {
    if (&weather == &last) at = static_cast<int>(names.size());
    names.push_back(name);
  }
  // A station that comes meanwhile would move the others along the list.
  const std::string id = "temperatures/station/" + std::to_string(names.size());
  const int chosen = form.list(id, tr("station.place"), names, at);
  return stations.at(names[static_cast<std::size_t>(chosen)]);
}

// The day after the last one held: what is typed most.
std::int64_t next_day(const Frame& frame, const ledger::Weather& held) {
  return held.days.empty() ? frame.today() - 1 : held.days.rbegin()->first + 1;
}

struct TypedDay {
  std::string station;
  std::int64_t day = 0;
  orchard::DayTemperatures celsius;
  bool ok = false;
};

std::optional<double> degrees(Frame& frame, Form& form, const char* id, const char* key) {
  const bool us = frame.season.farm().us_units;
  return form.number({.id = id, .label = tr(key, {{"unit", degree_unit(frame)}}),
                      .range = us ? orchard::Range{-76, 140} : orchard::Range{-60, 60},
                      .decimals = 1});
}

TypedDay typed_day(Frame& frame, Form& form, const ledger::Weather& held) {
  TypedDay typed;
  typed.station = asked_station_name(frame, form, held.station);
  const std::string day = form.date({.id = day_field, .label = tr("station.day"),
                                     .value = iso_day(next_day(frame, held))});
  std::optional<double> low, high;
  frame.ui.row({1, 1}, [&] { low = degrees(frame, form, low_field, "temperatures.low"); },
               [&] { high = degrees(frame, form, high_field, "temperatures.high"); });
  std::int64_t at_ms = 0;
  const bool is_day = base::parse_iso(day, at_ms);
  if (low && high && *low > *high) {
    notice(frame.ui, {.id = "upside_down", .tone = Tone::caution,
                      .text = tr("temperatures.upside_down")});
  }
  typed.ok = form.ok() && is_day && low && high && *low <= *high;
  if (!typed.ok) return typed;
  typed.day = at_ms / base::day_ms;
  typed.celsius = {typed_celsius(frame, *low), typed_celsius(frame, *high)};
  return typed;
}

void keep(Frame& frame, const TypedDay& typed) {
  SaveRecords save;
  for (auto& run : ledger::temperature_runs(typed.station, {{typed.day, typed.celsius}})) {
    save.bodies.push_back(std::move(run));
  }
  frame.want(save);
  frame.want(ClearFields{});  // and what was shown as wrong before
  frame.want(SetField{day_field, iso_day(typed.day + 1)});
}

void from_file(Frame& frame) {
  if (choice_row(frame.ui, {.id = "file", .label = tr("temperatures.file"),
                            .detail = tr("temperatures.file_hint"), .arrow = false,
                            .glyph = Glyph::up})) {
    frame.want(PickStation{});
  }
  if (frame.session.station.too_large) {
    notice(frame.ui, {.id = "too_large", .tone = Tone::trouble,
                      .text = tr("temperatures.too_large"), .live = true});
  }
}

void held_days(Frame& frame, const ledger::Weather& held) {
  if (held.days.empty()) {
    empty_state(frame.ui, {.id = "none", .glyph = Glyph::level, .text = tr("temperatures.empty")});
    return;
  }
  heading(frame.ui, held.station);
  std::vector<const std::pair<const std::int64_t, orchard::DayTemperatures>*> newest_first;
  for (auto at = held.days.rbegin(); at != held.days.rend(); ++at) newest_first.push_back(&*at);
  long_list(frame.ui, {.id = "days", .label = tr("temperatures.title"),
                       .rows = static_cast<int>(newest_first.size()), .row_height = 48},
            [&](int i) {
              const auto& [day, t] = *newest_first[static_cast<std::size_t>(i)];
              fact(frame.ui, date_year_text(day),
                   number(shown_degrees(frame, t.low), 1) + " / " +
                       number(shown_degrees(frame, t.high), 1) + " " + degree_unit(frame));
            });
}

}  // namespace

void draw_temperatures(Frame& frame) {
  if (!frame.session.station.text.empty()) return draw_station_file(frame);
  open(frame, {.key = "temperatures", .title = tr("temperatures.title"),
               .actions = {{.id = "keep", .label = tr("temperatures.keep")}}});
  save_state(frame);
  const ledger::Weather* held = &frame.season.weather();
  const auto enter = [&] {
    from_file(frame);
    Form form(frame);
    held = &shown_station(frame, form);
    const TypedDay typed = typed_day(frame, form, *held);
    if (frame.bar.action == "keep") typed.ok ? keep(frame, typed) : form.show_wrong();
  };
  side_by_side(frame, enter, [&] { held_days(frame, *held); });
  finish(frame);
}

}  // namespace nthtree::screens
