// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "advice/advisor.h"
#include "advice/judged/acceptance.h"
#include "advice/known/block_target.h"
#include "advice/judged/remedy.h"
#include "advice/review/crew_board.h"
#include "advice/settings.h"
#include "base/text.h"
#include "base/arguments.h"
#include "cli/command.h"
#include "cli/json_out.h"
#include "cli/reason_text.h"
#include "cli/season_files.h"
#include "cli/text_table.h"
#include "cli/worksheet.h"

namespace nthtree::cli {

const char* const replay_help =
    "usage: nthtree replay FOLDER_OR_FILE… [--at TIME] [--json] [--skip-bad]\n"
    "What was known at a moment: each block's target, mean and verdict, and each pruner's\n"
    "standing, verdict and drift. Reads ledger files, or every *.jsonl of a folder; changes\n"
    "nothing.\n"
    "\n"
    "  --at TIME    2026-02-04 (the end of that day), 2026-02-04T12:00 (the farm's own time) or\n"
    "               2026-02-04T20:00Z (UTC); the last record where not given,\n"
    "               but for a phone whose clock ran weeks ahead of all others, which is named\n"
    "  --json       for programs\n"
    "  --skip-bad   tells bad records on standard error and goes on without them\n"
    "\n"
    "  nthtree replay scenarios/oxbow_lantern --at 2026-02-04\n"
    "\n"
    "Spurs are true ones, corrected for what people miss; intervals are of 90 %. Advice is\n"
    "decision support: the lead decides.\n";

namespace {

struct BlockView {
  const ledger::BlockSeason* block;
  base::Result<advice::BlockTarget> target;
  advice::Acceptance acceptance;
  advice::Standing standing;
  advice::Verdict verdict;
  std::vector<advice::CrewRow> crew;
};

// By way of the advisor, which gathers each block's counts once for all of them.
BlockView view_of(const FarmMoment& farm, const ledger::BlockSeason& block,
                  advice::Advisor& advisor) {
  const auto standings = advisor.block_standings(block.id, farm.now_ms);
  return {&block,
          advice::block_target(block),
          advisor.accept_block(block.id, farm.now_ms),
          standings.block_standing,
          advice::judge(standings.block_standing, advice::settings_for(farm.season, block)),
          advisor.crew_board(block.id, farm.now_ms)};
}

std::string name_of_person(const ledger::Season& season, const std::string& id) {
  const orchard::Person* person = season.person(id);
  return person ? id + " " + person->name : id;
}

std::string interval(const orchard::Estimate& e) {
  return base::print("%.0f (%.0f to %.0f)", e.value, e.low, e.high);
}

std::string signed_spurs(double spurs) {
  const double whole = std::round(spurs);
  return whole == 0 ? "0" : base::print("%+.0f", whole);
}

Json verdict_json(const advice::Verdict& verdict) {
  Json out;
  out["verdict"] = advice::name_of(verdict);
  put_estimate(out, "change_spurs_per_tree", verdict.over_target);
  out["sureness"] = number(verdict.sureness);
  out["expected_more_trees"] = number(verdict.expected_more_trees);
  out["is_urgent"] = verdict.is_urgent;
  Json reason;
  reason["id"] = verdict.reason.id;
  for (const auto& [name, value] : verdict.reason.numbers) reason[name] = number(value);
  out["reason"] = reason;
  return out;
}

Json standing_json(const advice::Standing& standing) {
  Json out;
  out["counts"] = standing.counts;
  out["counts_before_advice"] = standing.counts_before;
  out["checks"] = standing.checks;
  out["checks_before_advice"] = standing.checks_before;
  put_estimate(out, "spurs_per_tree", standing.spurs_per_tree);
  put_estimate(out, "over_target", standing.over_target);
  out["probability_over"] = number(standing.probability_over);
  out["probability_within"] = number(standing.probability_within);
  out["probability_under"] = number(standing.probability_under);
  return out;
}

Json crew_json(const FarmMoment& farm, const advice::CrewRow& row) {
  Json out;
  out["person"] = row.person;
  const orchard::Person* person = farm.season.person(row.person);
  out["name"] = person ? Json(person->name) : Json();
  out.update(standing_json(row.standing));
  out.update(verdict_json(row.verdict));
  put_estimate(out, "counting_ratio", row.counter.ratio);
  out["digit_share"] = number(row.counter.digit_share);
  out["counting_signs"] = Json::array();
  for (const auto sign : row.counter.signs) out["counting_signs"].push_back(name_of(sign));
  const advice::DriftAlarm& level = row.drift.level;
  out["against_crew"] = {{"answer", advice::name_of(row.crew.kind)},
                         {"others", row.crew.others},
                         {"fraction", number(row.crew.fraction.value)},
                         {"fraction_low", number(row.crew.fraction.low)},
                         {"fraction_high", number(row.crew.fraction.high)},
                         {"sureness", number(row.crew.sureness)}};
  out["drift"] = {{"alarm", level.alarm},
                  {"began_ms", level.alarm ? Json(level.began_ms) : Json()},
                  {"alarm_ms", level.alarm ? Json(level.alarm_ms) : Json()},
                  {"change_fraction", number(level.change)},
                  {"false_every_days", number(row.drift.false_every_days)}};
  out["stride"] = row.stride;
  return out;
}

Json block_json(const FarmMoment& farm, const BlockView& view) {
  Json out;
  out["block"] = view.block->id;
  const auto& settings = view.block->block;
  out["name"] = settings ? Json(settings->name) : Json();
  out["variety"] = settings ? Json(settings->variety) : Json();
  out["trees"] = settings ? Json(settings->trees()) : Json();
  if (view.target) {
    const orchard::Target& target = view.target->target;
    put_estimate(out, "floral_fraction", target.floral_fraction);
    out["flowering_spurs_per_tree"] = number(target.flowering_spurs_per_tree);
    put_estimate(out, "target_spurs_per_tree", target.spurs_to_leave_per_tree);
    out["band_low"] = number(view.acceptance.band_low);
    out["band_high"] = number(view.acceptance.band_high);
  } else {
    out["target_problem"] = view.target.error().text();
  }
  out["tag_counts"] = view.acceptance.counts;
  out["check_counts"] = view.acceptance.checks;
  out["trees_done"] = view.acceptance.trees_done;
  out["standing"] = standing_json(view.standing);
  out.update(verdict_json(view.verdict));
  out["acceptance"] = name_of(view.acceptance.kind);
  put_estimate(out, "mean_spurs_per_tree", view.acceptance.mean);
  put_estimate(out, "share_out_of_band", view.acceptance.share_out_of_band);
  out["pruners"] = Json::array();
  for (const auto& row : view.crew) out["pruners"].push_back(crew_json(farm, row));
  return out;
}

Json ahead_json(const FarmMoment& farm, const ledger::WrittenAhead& phone) {
  return {{"device", phone.device.text()},
          {"author", phone.author},
          {"records", phone.records},
          {"first_ms", phone.first_ms},
          {"days_ahead", phone.days_past(farm.present_ms)}};
}

std::string drift_text(const FarmMoment& farm, const advice::Drift& drift) {
  if (!drift.level.alarm) return "";
  return base::print("drifts %+.0f %% since %s", 100 * drift.level.change,
                     short_time(farm.season, drift.level.began_ms).c_str());
}

// "-24 % fewer", "alike": beside the others in the block, whatever the target.
std::string against_text(const advice::AgainstCrew& crew) {
  if (crew.kind == advice::AgainstCrewKind::too_few_others) return "";
  const std::string word = word_of(crew.kind);
  return crew.tells() ? base::print("%+.0f %% ", 100 * crew.fraction.value) + word : word;
}

std::string signs_text(const advice::Counter& counter) {
  std::string text;
  for (const auto sign : counter.signs) text += (text.empty() ? "" : ", ") + word_of(sign);
  return text;
}

std::string crew_table(const FarmMoment& farm, const BlockView& view) {
  TextTable table({"pruner", ">counts", ">re-counts", ">left on a tree", ">over target", "verdict",
                   "in the hands", "beside the others", "drift", "counting"});
  for (const advice::CrewRow& row : view.crew) {
    const bool counted = row.standing.counts + row.standing.counts_before > 0;
    table.row({name_of_person(farm.season, row.person),
               base::print("%d", row.standing.counts),
               base::print("%d", row.standing.checks),
               counted ? interval(row.standing.spurs_per_tree) : "",
               counted ? signed_spurs(row.standing.over_target.value) : "",
               word_of(row.verdict), in_the_hands(row.verdict),
               against_text(row.crew), drift_text(farm, row.drift), signs_text(row.counter)});
  }
  return table.text("  ");
}

std::string chance_text(const advice::Drift& drift) {
  if (drift.false_every_days <= 0) return "";
  const double days = std::round(drift.false_every_days);
  return "  drift: a crew that counts like this sees a false one about every " +
         (days > 1 ? base::print("%.0f days\n", days) : std::string("day\n"));
}

std::string block_text(const FarmMoment& farm, const BlockView& view) {
  const auto& settings = view.block->block;
  std::string text = "\n" + view.block->id;
  if (settings) {
    text += " " + settings->name + ", " + settings->variety +
            base::print(", %lld trees", static_cast<long long>(settings->trees()));
  }
  text += "\n";
  if (!view.target) return text + "  no target: " + view.target.error().text() + "\n";
  text += "  target " + interval(view.target->target.spurs_to_leave_per_tree) +
          base::print(" spurs a tree, band %.0f to %.0f; ", view.acceptance.band_low,
                      view.acceptance.band_high) +
          counted(view.acceptance.counts, "tag count") + ", " +
          counted(view.acceptance.checks, "re-count") + ", " +
          counted(static_cast<double>(view.acceptance.trees_done), "tree") + " done\n";
  text += "  block: " + word_of(view.verdict) + "; " + sentence(view.verdict.reason) + "\n";
  text += "  acceptance: " + word_of(view.acceptance.kind) + "; " +
          sentence(view.acceptance.reason) + "\n";
  if (view.crew.empty()) return text;
  text += crew_table(farm, view);
  const bool drifts = std::any_of(view.crew.begin(), view.crew.end(),
                                  [](const auto& row) { return row.drift.level.alarm; });
  return drifts ? text + chance_text(view.crew.front().drift) : text;
}

std::string replay_text(const FarmMoment& farm) {
  const ledger::Season& season = farm.season;
  std::string text = base::print("%s, %zu records, as of %s\n",
                                 season.has_farm() ? season.farm().name.c_str() : "(no farm yet)",
                                 season.records(), farm_time(season, farm.now_ms).c_str());
  text += notes_text(farm);
  advice::Advisor advisor(season);
  for (const auto& [id, block] : season.blocks()) {
    text += block_text(farm, view_of(farm, block, advisor));
  }
  return text;
}

Json replay_json(const FarmMoment& farm) {
  const ledger::Season& season = farm.season;
  Json out;
  out["farm"] = season.has_farm() ? Json(season.farm().name) : Json();
  out["at_ms"] = farm.now_ms;
  out["at_farm_time"] = farm_time(season, farm.now_ms);
  out["records"] = season.records();
  out["fingerprint"] = season.fingerprint();
  out["notes"] = farm.notes();
  out["written_ahead"] = Json::array();
  for (const auto& phone : farm.ahead) out["written_ahead"].push_back(ahead_json(farm, phone));
  out["blocks"] = Json::array();
  advice::Advisor advisor(season);
  for (const auto& [id, block] : season.blocks()) {
    out["blocks"].push_back(block_json(farm, view_of(farm, block, advisor)));
  }
  return out;
}

}  // namespace

Outcome replay_command(const Words& words) {
  const auto arguments = read_arguments(
      words, {{"--at", true}, {"--json", false}, {"--skip-bad", false}}, 1, 10000);
  if (!arguments) return refused(arguments.error());
  const auto farm = farm_asked_for(*arguments, arguments->rest);
  if (!farm) return refused(farm.error());
  return {exit_good,
          arguments->has("--json") ? text_of(replay_json(*farm)) : replay_text(*farm),
          skipped_text(farm->skipped)};
}

}  // namespace nthtree::cli
