// SPDX-License-Identifier: Apache-2.0
// When the block is better pruned, and the warmth that green tip and bloom are foretold from.
#include "advice/next/bud_forecast.h"
#include "advice/next/when_to_prune.h"
#include "base/text.h"
#include "cli/explain/steps.h"
#include "cli/reason_text.h"
#include "cli/text_table.h"
#include "orchard/bud_stages.h"
#include "orchard/degree_days.h"
#include "orchard/plain_variety.h"

namespace nthtree::cli {
namespace {

using advice::BudForecast;

std::string day_or_none(std::int64_t day) { return day > 0 ? day_text(day) : "not foreseeable"; }

// As the farm has set it; what is usual for a variety stands in a file that this command is not
// given.
orchard::Variety variety_of(const ExplainedBlock& it) {
  const std::string& name = it.block->block->variety;
  const auto set = orchard::with_changes({}, it.farm->season.variety_changes());
  const orchard::Variety* found = orchard::find_variety(set, name);
  return found ? *found : orchard::plain_variety(name);
}

void explain_days(const ExplainedBlock& it, const BudForecast& forecast, Worksheet& sheet) {
  TextTable table({"day", ">low °F", ">high °F", ">sine", ">triangle"});
  const auto& days = it.farm->season.weather_of(it.block->id).days;
  for (auto at = days.lower_bound(forecast.start); at != days.end(); ++at) {
    const orchard::DayTemperatures day = advice::in_fahrenheit(at->second);
    const auto warmth = [&](orchard::DayCurve curve) {
      return base::print("%.3f", orchard::degree_days(day, {orchard::apple_base_f}, curve));
    };
    table.row({day_text(at->first), base::print("%.1f", day.low), base::print("%.1f", day.high),
               warmth(orchard::DayCurve::sine), warmth(orchard::DayCurve::triangle)});
  }
  sheet.block(table.text("    "));
}

const char* use_text(advice::NoteUse use) {
  switch (use) {
    case advice::NoteUse::days_missing: return "left out: the station has not all days before it";
    case advice::NoteUse::too_cold: return "left out: too little warmth to be believed";
    case advice::NoteUse::too_warm: return "left out: too much warmth to be believed";
    case advice::NoteUse::used: break;
  }
  return "used";
}

// Earlier springs in which somebody noted green tip, and what they make of the published sums.
void explain_own(const advice::OwnGreenTip& own, Worksheet& sheet) {
  if (own.noted.empty()) return;
  TextTable table({"block", "green tip", ">°F degree-days", "use"});
  for (const advice::NotedGreenTip& noted : own.noted) {
    table.row({noted.block, day_text(noted.day), base::print("%.1f", noted.sum_f),
               use_text(noted.use)});
  }
  sheet.block(table.text("    "));
  sheet.equation("of the published sums", "e ^ (" + num(own.farm_log) + " + " +
                 num(own.block_log) + ")", own.ratio, "(farm, and this block beside it)");
}

void explain_stage(const advice::StageAhead& ahead, Worksheet& sheet) {
  if (ahead.seen > 0) {
    return sheet.line(std::string(ahead.name) + ": seen " + day_text(ahead.seen));
  }
  sheet.equation(std::string("sum wanted for ") + ahead.name,
                 "(" + num(ahead.sum_low_f) + " + " + num(ahead.sum_high_f) + ") ÷ 2",
                 (ahead.sum_low_f + ahead.sum_high_f) / 2, "°F degree-days");
  sheet.line(std::string(ahead.name) + ": about " + day_or_none(ahead.likely) + " by sine, " +
             day_or_none(ahead.by_triangle) + " by triangle; " + day_or_none(ahead.early) + " to " +
             day_or_none(ahead.late));
}

void explain_forecast(const ExplainedBlock& it, const BudForecast& forecast, Worksheet& sheet) {
  sheet.line("degree-days above 43 °F from " + day_text(forecast.start) + ", station " +
             it.farm->season.station_of(it.block->id));
  explain_days(it, forecast, sheet);
  sheet.line(base::print("so far %.1f by sine, %.1f by triangle; lately %.2f a day",
                         forecast.sum_sine, forecast.sum_triangle, forecast.a_day_lately));
  for (const orchard::StationGap& gap : forecast.gaps) {
    sheet.line("missing: " + day_text(gap.first) + " to " + day_text(gap.last));
  }
  sheet.line(forecast.earlier_years.empty()
                 ? "days to come: as the last ten, half as warm, twice as warm"
                 : "days to come: as in " +
                       counted(static_cast<double>(forecast.earlier_years.size()),
                               "earlier spring"));
  explain_own(forecast.own, sheet);
  for (const advice::StageAhead& ahead : forecast.stages) explain_stage(ahead, sheet);
  sheet.line(base::print("a window holds both curves and %d days either way; local advice comes "
                         "first", orchard::stage_days_loose));
}

}  // namespace

void explain_when(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("When to prune");
  const auto when =
      advice::when_to_prune(it.farm->season, it.block->id, variety_of(it), it.farm->now_ms);
  std::string what = advice::name_of(when.what);
  for (char& c : what) c = c == '_' ? ' ' : c;
  sheet.line(what);
  for (const advice::Reason& reason : when.reasons) sheet.line(sentence(reason));
  const auto forecast = advice::bud_forecast(it.farm->season, it.block->id, it.farm->now_ms);
  if (forecast.last == 0) return sheet.line("no temperatures since " + day_text(forecast.start));
  explain_forecast(it, forecast, sheet);
}

}  // namespace nthtree::cli
