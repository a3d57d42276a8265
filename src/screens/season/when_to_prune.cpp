// SPDX-License-Identifier: Apache-2.0
// When each block is better pruned and why, and green tip and bloom ahead from the station's
// temperatures, beside the date that the farm expects.
#include "advice/next/bud_forecast.h"
#include "advice/next/when_to_prune.h"
#include "base/clock.h"
#include "base/text.h"
#include "orchard/bud_stages.h"
#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"
#include "screens/season/station_page.h"

namespace nthtree::screens {
namespace {

using advice::BudForecast;
using advice::ForecastState;

std::string window_text(const advice::StageAhead& stage) {
  const std::string early = date_text(stage.early);
  const std::string window =
      stage.late > 0 ? tr("when.window", {{"early", early}, {"late", date_text(stage.late)}})
                     : tr("when.window_open", {{"early", early}});
  return stage.likely > 0 ? date_text(stage.likely) + " (" + window + ")" : window;
}

void stage_ahead(Frame& frame, const BudForecast& forecast, const advice::StageAhead& stage) {
  const std::string label = tr(std::string("when.stage.") + stage.name);
  if (stage.seen > 0) {
    fact(frame.ui, label, tr("when.seen", {{"date", date_text(stage.seen)}}));
  } else if (forecast.state == ForecastState::known && stage.early > 0) {
    fact(frame.ui, label, window_text(stage));
  }
}

void sums_picture(Frame& frame, const BudForecast& forecast) {
  if (forecast.sums_sine.size() < 2) return;
  const advice::StageAhead& tip = forecast.green_tip();
  const std::string label =
      tr("when.picture", {{"sum", whole(forecast.sum_sine)},
                          {"low", whole(tip.sum_low_f)},
                          {"high", whole(tip.sum_high_f)}});
  line_chart(frame.ui, {.id = "sums", .label = label, .points = forecast.sums_sine,
                        .limits = {tip.sum_low_f, tip.sum_high_f}, .middle = 0,
                        .first_text = date_text(forecast.start),
                        .last_text = date_text(forecast.last), .height = 150});
  small_print(frame.ui, label);
}

void gaps_notice(Frame& frame, const BudForecast& forecast) {
  if (forecast.gaps.empty()) return;
  std::int64_t days = 0;
  for (const auto& gap : forecast.gaps) days += gap.last - gap.first + 1;
  const orchard::StationGap& first = forecast.gaps.front();
  if (notice(frame.ui, {.id = "gaps", .tone = Tone::caution,
                        .text = tr_count("when.gaps", static_cast<int>(days),
                                         {{"first", date_text(first.first)},
                                          {"last", date_text(first.last)}}),
                        .action = tr("when.type_them")})) {
    frame.want(SetField{"temperatures/day", iso_day(first.first)});
    frame.go(ScreenId::temperatures);
  }
}

// What the forecast rests on, the same for every block that begins on the same day.
void basis(Frame& frame, const BudForecast& forecast) {
  switch (forecast.state) {
    case ForecastState::no_temperatures:
      empty_state(frame.ui, {.id = "none", .glyph = Glyph::level,
                             .text = tr("when.none", {{"date", date_text(forecast.start)}})});
      return;
    case ForecastState::not_begun:
      return paragraph(frame.ui, tr("when.not_begun", {{"date", date_text(forecast.start)}}));
    case ForecastState::too_cold: paragraph(frame.ui, tr("when.too_cold")); break;
    case ForecastState::known: break;
  }
  sums_picture(frame, forecast);
  fact(frame.ui, tr("when.sum"),
       tr("when.both", {{"sine", number(forecast.sum_sine, 1)},
                        {"triangle", number(forecast.sum_triangle, 1)}}));
  fact(frame.ui, tr("when.up_to"), date_text(forecast.last));
  gaps_notice(frame, forecast);
  if (forecast.days_ahead > 0) small_print(frame.ui, tr_count("when.ahead", forecast.days_ahead));
  const int years = static_cast<int>(forecast.earlier_years.size());
  small_print(frame.ui, years > 0 ? tr_count("when.as_years", years) : tr("when.as_lately"));
}

std::string left_out_text(const advice::NotedGreenTip& noted) {
  const char* key = noted.use == advice::NoteUse::days_missing ? "when.own_days_missing"
                    : noted.use == advice::NoteUse::too_cold   ? "when.own_too_cold"
                                                               : "when.own_too_warm";
  return tr(key, {{"date", date_year_text(noted.day)}, {"sum", whole(noted.sum_f)}});
}

// What green tip took here in earlier springs, and which notes of it could not be used.
void own_sum(Frame& frame, const std::string& block, const BudForecast& forecast) {
  const advice::OwnGreenTip& own = forecast.own;
  const advice::StageAhead& tip = forecast.green_tip();
  if (own.farm_springs > 0) {
    const bool is_own = own.springs > 0;
    small_print(frame.ui, tr_count(is_own ? "when.own" : "when.own_farm",
                                   is_own ? own.springs : own.farm_springs,
                                   {{"sum", whole((tip.sum_low_f + tip.sum_high_f) / 2)}}));
  }
  for (const advice::NotedGreenTip& noted : own.noted) {
    if (noted.block == block && noted.use != advice::NoteUse::used) {
      small_print(frame.ui, left_out_text(noted));
    }
  }
}

void take_over(Frame& frame, const ledger::BlockSeason& block, const BudForecast& forecast) {
  const std::int64_t likely = forecast.green_tip().likely;
  const bool may = frame.me() && frame.me()->role == orchard::Role::manager;
  if (!may || likely == 0 || forecast.green_tip().seen > 0) return;
  if (block.block->green_tip_date == iso_day(likely)) return;
  if (button(frame.ui, {.id = "take/" + block.id,
                        .label = tr("when.take_over",
                                    {{"date", date_text(likely)},
                                     {"block", block_text(frame.season, block.id)}}),
                        .kind = Kind::quiet})) {
    ledger::BlockSettings settings{*block.block};
    settings.block.green_tip_date = iso_day(likely);
    SaveRecords save;
    save.bodies = {settings};
    frame.want(save);
  }
}

std::string expected_text(const orchard::Block& block) {
  std::int64_t at_ms = 0;
  return base::parse_iso(block.green_tip_date, at_ms) ? date_text(at_ms / base::day_ms)
                                                      : tr("when.not_set");
}

void one_block(Frame& frame, const ledger::BlockSeason& block) {
  const advice::WhenToPrune& when =
      frame.cache.when_to_prune(frame.season, block.id, variety_of(frame, *block.block),
                                frame.now_ms());
  const BudForecast& forecast =
      frame.cache.bud_forecast(frame.season, block.id, frame.now_ms());
  heading(frame.ui, block_text(frame.season, block.id) +
                        (block.block->variety.empty() ? "" : ", " + block.block->variety));
  strong_line(frame.ui, tr(std::string("when.what.") + advice::name_of(when.what)));
  std::string why;
  for (const advice::Reason& reason : when.reasons) {
    why += (why.empty() ? "" : " ") + reason_text(reason);
  }
  paragraph(frame.ui, why);
  fact(frame.ui, tr("when.expected"), expected_text(*block.block));
  if (frame.season.stations().size() > 1) {
    fact(frame.ui, tr("station.place"), frame.season.station_of(block.id));
  }
  for (const advice::StageAhead& stage : forecast.stages) stage_ahead(frame, forecast, stage);
  own_sum(frame, block.id, forecast);
  take_over(frame, block, forecast);
}

}  // namespace

void draw_when_to_prune(Frame& frame) {
  open(frame, {.key = "when", .title = tr("when.title"),
               .actions = {{.id = "temperatures", .label = tr("when.temperatures")}},
               .full = true});
  save_state(frame);
  small_print(frame.ui, tr("when.text"));
  const std::string& at_hand =
      frame.block() || frame.season.blocks().empty() ? frame.block_id()
                                                     : frame.season.blocks().begin()->first;
  const auto rests_on = [&] {
    basis(frame, frame.cache.bud_forecast(frame.season, at_hand, frame.now_ms()));
  };
  const auto blocks = [&] {
    for (const auto& [id, block] : frame.season.blocks()) {
      if (block.block) one_block(frame, block);
    }
  };
  side_by_side(frame, blocks, rests_on);
  if (frame.bar.action == "temperatures") frame.go(ScreenId::temperatures);
  finish(frame);
}

}  // namespace nthtree::screens
