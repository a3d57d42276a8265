// SPDX-License-Identifier: Apache-2.0
#include "advice/next/going_back.h"
#include "advice/next/tomorrow.h"
#include "base/clock.h"
#include "base/text.h"
#include "base/arguments.h"
#include "cli/command.h"
#include "cli/json_out.h"
#include "cli/reason_text.h"
#include "cli/season_files.h"
#include "cli/text_table.h"
#include "orchard/row_list.h"

namespace nthtree::cli {

const char* const evening_help =
    "usage: nthtree evening FOLDER_OR_FILE… [--at TIME] [--names] [--json] [--skip-bad]\n"
    "The rows that stand wrong, best hour first, and who goes where tomorrow.\n"
    "\n"
    "  --at TIME    as it stood then, as for replay\n"
    "  --names      names people; without it they are ids\n"
    "  --json       for programs\n"
    "  --skip-bad   leaves out lines that are not in order, and names them\n"
    "\n"
    "Every line is a proposal with its reasons: who knows the trees decides.\n"
    "\n"
    "  nthtree evening scenarios/oxbow_lantern --at 2026-02-05\n";

namespace {

const char* word_of(advice::Back what) {
  switch (what) {
    case advice::Back::go: return "go back";
    case advice::Back::look_first: return "look first";
    case advice::Back::too_few: return "too few";
    case advice::Back::leave: break;
  }
  return "leave";
}

std::string sentences(const std::vector<advice::Reason>& reasons) {
  std::string text;
  for (const advice::Reason& reason : reasons) {
    text += (text.empty() ? "" : "; ") + sentence(reason);
  }
  return text;
}

class Evening {
 public:
  Evening(const FarmMoment& farm, bool names)
      : farm_(farm),
        names_(names),
        back_(advice::going_back(farm.season, farm.now_ms)),
        plan_(advice::tomorrow(farm.season, farm.now_ms)) {}

  std::string text() const { return back_text() + plan_text(); }

  Json json() const {
    Json out;
    out["at_ms"] = farm_.now_ms;
    out["has_rates"] = back_.has_rates;
    out["going_back"] = Json::array();
    for (const advice::Stretch& stretch : back_.stretches) {
      out["going_back"].push_back(stretch_json(stretch));
    }
    out["trees_late"] = number(plan_.trees_late);
    out["trees_late_as_now"] = number(plan_.trees_late_as_now);
    out["gangs"] = Json::array();
    for (const advice::Gang& gang : plan_.gangs) out["gangs"].push_back(gang_json(gang));
    out["blocks"] = Json::array();
    for (const advice::BlockEnd& end : plan_.blocks) out["blocks"].push_back(end_json(end));
    return out;
  }

 private:
  std::string who(const std::string& id) const {
    const orchard::Person* person = names_ ? farm_.season.person(id) : nullptr;
    return person ? person->name : id;
  }
  static std::string day(std::int64_t number) {
    return base::iso_minute(number * base::day_ms).substr(0, 10);
  }
  std::string gang_name(const advice::Gang& gang) const {
    if (!gang.name.empty()) return gang.name;
    return gang.block_now.empty() ? "(new people)" : "those of " + gang.block_now;
  }

  std::string back_text() const {
    TextTable table({"", "block", "rows", "whose", ">spurs a tree", ">over", ">hours",
                     back_.has_rates ? ">money an hour" : ">spurs an hour", "why"});
    int shown = 0;
    for (const advice::Stretch& stretch : back_.stretches) {
      if (stretch.what == advice::Back::leave) continue;
      ++shown;
      table.row({word_of(stretch.what), stretch.block, orchard::row_list_text(stretch.rows),
                 who(stretch.person), base::print("%.0f", stretch.spurs_per_tree.value),
                 base::print("%+.0f", stretch.over_target.value),
                 base::print("%.1f", stretch.hours), base::print("%.0f", stretch.gain_per_hour),
                 sentences(stretch.reasons)});
    }
    if (shown == 0) return "Going back: nothing stands wrong enough, as far as it is known.\n";
    return "Going back, best hour first:\n" + table.text("  ");
  }

  std::string plan_text() const {
    std::string text = base::print("Tomorrow: about %.0f trees late, %.0f if everybody stayed.\n",
                                   plan_.trees_late, plan_.trees_late_as_now);
    TextTable gangs({"gang", ">people", "now in", "tomorrow in", ">trees an hour", "why"});
    for (const advice::Gang& gang : plan_.gangs) {
      gangs.row({gang_name(gang), std::to_string(gang.people.size()), gang.block_now, gang.block,
                 base::print("%.0f", gang.trees_per_hour), sentences(gang.reasons)});
    }
    if (!plan_.gangs.empty()) text += gangs.text("  ");
    TextTable blocks({"block", ">trees left", "ends", "between", "green tip", ">in time"});
    for (const advice::BlockEnd& end : plan_.blocks) {
      blocks.row({end.block, base::print("%.0f", end.trees_left),
                  end.has_end ? day(end.end_day) : "-",
                  end.has_end ? day(end.end_day_early) + " and " + day(end.end_day_late) : "-",
                  end.has_green_tip ? day(end.green_tip_day) : "-",
                  end.has_green_tip ? base::print("%.0f %%", 100 * end.chance_in_time) : "-"});
    }
    return plan_.blocks.empty() ? text : text + blocks.text("  ");
  }

  Json stretch_json(const advice::Stretch& stretch) const {
    Json out;
    out["what"] = word_of(stretch.what);
    out["block"] = stretch.block;
    out["rows"] = stretch.rows;
    out["person"] = who(stretch.person);
    out["trees"] = number(stretch.trees);
    out["from_ms"] = stretch.from_ms;
    out["to_ms"] = stretch.to_ms;
    out["inferred"] = stretch.inferred;
    out["counts"] = stretch.counts;
    put_estimate(out, "spurs_per_tree", stretch.spurs_per_tree);
    put_estimate(out, "over_target", stretch.over_target);
    out["hours"] = number(stretch.hours);
    out["cost_now"] = number(stretch.cost_now);
    out["cost_later"] = number(stretch.cost_later);
    out["gain"] = number(stretch.gain);
    out["gain_per_hour"] = number(stretch.gain_per_hour);
    out["chance_it_pays"] = number(stretch.chance_it_pays);
    out["look_at"] = stretch.looks.looks;
    out["in_time"] = stretch.in_time;
    out["why"] = sentences(stretch.reasons);
    return out;
  }

  Json gang_json(const advice::Gang& gang) const {
    Json out;
    out["gang"] = gang.name;
    out["people"] = Json::array();
    for (const std::string& id : gang.people) out["people"].push_back(who(id));
    out["block_now"] = gang.block_now;
    out["block"] = gang.block;
    out["trees_per_hour"] = number(gang.trees_per_hour);
    return out;
  }

  Json end_json(const advice::BlockEnd& end) const {
    Json out;
    out["block"] = end.block;
    out["trees_left"] = number(end.trees_left);
    out["end_day"] = end.has_end ? Json(day(end.end_day)) : Json();
    out["green_tip_day"] = end.has_green_tip ? Json(day(end.green_tip_day)) : Json();
    out["chance_in_time"] = number(end.chance_in_time);
    out["trees_late"] = number(end.trees_late);
    return out;
  }

  const FarmMoment& farm_;
  bool names_;
  advice::GoingBack back_;
  advice::Tomorrow plan_;
};

}  // namespace

Outcome evening_command(const Words& words) {
  const auto arguments = read_arguments(
      words, {{"--at", true}, {"--names", false}, {"--json", false}, {"--skip-bad", false}}, 1,
      10000);
  if (!arguments) return refused(arguments.error());
  const auto farm = farm_asked_for(*arguments, arguments->rest);
  if (!farm) return refused(farm.error());
  const Evening evening(*farm, arguments->has("--names"));
  return {exit_good, arguments->has("--json") ? text_of(evening.json()) : evening.text(),
          skipped_text(farm->skipped)};
}

}  // namespace nthtree::cli
