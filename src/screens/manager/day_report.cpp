// SPDX-License-Identifier: Apache-2.0
#include "screens/manager/day_report.h"

#include <cmath>
#include <vector>

#include "advice/review/decisions.h"
#include "screens/manager/review_parts.h"
#include "screens/parts/paper.h"
#include "screens/parts/wording.h"
#include "widgets/language.h"

namespace nthtree::screens {
namespace {

using widgets::number;
using widgets::tr;

// Empty in place of a nought that nobody counted.
std::string some(double value, int decimals = 0) {
  return value > 0 ? number(value, decimals) : "";
}

std::string totals_table(const ledger::Season& season, const advice::DayReview& review) {
  const double labour = season.farm().wage_per_hour * review.hours;
  PaperTable table("", {{tr("review.counts"), true}, {tr("review.checks"), true},
                        {tr("review.trees"), true}, {tr("review.hours"), true},
                        {tr("review.labour"), true}, {tr("review.advice"), true}});
  table.add({whole(review.counts), whole(review.checks),
             whole(static_cast<double>(review.trees)), number(review.hours, 1),
             labour > 0 ? money_text(season, labour) : "", whole(review.advice_given)});
  return table.text();
}

std::string list_of(const std::string& title, const std::vector<NewsLine>& lines) {
  if (lines.empty()) return "";
  std::string out = "<section class=\"short\"><h2>" + html(title) + "</h2>\n<ul>\n";
  for (const NewsLine& line : lines) {
    out += "<li><strong>" + html(line.label) + "</strong>" +
           (line.trailing.empty() ? "" : ", <strong>" + html(line.trailing) + "</strong>") + ". " +
           html(line.detail) + "</li>\n";
  }
  return out + "</ul></section>\n";
}

std::string decisions_list(const ledger::Season& season, const advice::DayReview& review) {
  std::vector<NewsLine> lines;
  for (const advice::Decision& open : advice::decisions_of(review)) {
    lines.push_back(line_of(season, review, open));
  }
  return list_of(tr("review.decide"), lines);
}

std::string blocks_table(const ledger::Season& season, const advice::DayReview& review) {
  PaperTable table(tr("review.blocks"),
                   {{tr("edit.block.title")}, {tr("review.accepted")},
                    {tr("standing.left"), true}, {tr("standing.target"), true},
                    {tr("review.trees"), true}, {tr("review.rate"), true},
                    {tr("review.labour"), true}, {tr("review.cost_off"), true},
                    {tr("review.done_about"), true}, {tr("review.green_tip_short"), true}});
  const auto money = [&](double amount) {
    return amount >= 1 ? money_text(season, amount) : std::string();
  };
  std::string notes;
  for (const advice::BlockDay& day : review.blocks) {
    const advice::Acceptance& done = day.acceptance;
    const advice::Pace& pace = day.pace;
    const bool counted = done.counts > 0 && done.target > 0;
    const std::string left =
        whole(done.mean.value) + " (" + range_text(done.mean.low, done.mean.high) + ")";
    const std::string tip = pace.has_green_tip ? date_text(pace.green_tip_day) : "";
    const bool told = pace.has_green_tip && pace.finish_day > 0;
    table.add({block_text(season, day.block), block_state(done.kind), counted ? left : "",
               some(done.target),
               whole(static_cast<double>(pace.trees_done)) + " / " +
                   whole(static_cast<double>(pace.trees)),
               pace.hours_done > 0 ? number(pace.trees_per_hour.value, 1) : "",
               money(pace.labour_cost),
               money(day.cost.thinning_cost.value + day.cost.crop_lost_value.value),
               pace.finish_day > 0 ? date_text(pace.finish_day) : "",
               told ? labelled(tip, in_time_text(pace.probability_in_time)) : tip});
    if (counted) {
      notes += "<p>" + html(labelled(block_text(season, day.block), spread_text(done))) + "</p>\n";
    }
  }
  return table.text() + notes;
}

std::string people_table(const ledger::Season& season, const advice::DayReview& review) {
  PaperTable table(tr("review.people"),
                   {{tr("edit.name")}, {tr("edit.block.title")}, {tr("review.counts"), true},
                    {tr("review.checks"), true}, {tr("review.trees"), true},
                    {tr("review.hours"), true}, {tr("standing.title")},
                    {tr("standing.drift")}});
  for (const advice::PrunerDay& day : review.pruners) {
    table.add({person_text(season, day.person), block_text(season, day.block), some(day.counts),
               some(day.checks), some(day.trees), some(day.hours, 1),
               day.has_standing ? verdict_line(day.verdict) : "",
               day.drifted ? tr("review.drifted",
                                {{"when", time_text(season, day.drift_began_ms)}})
                           : ""});
  }
  return table.text();
}

std::string revisit_table(const ledger::Season& season, const advice::DayReview& review) {
  PaperTable table(tr("review.revisit"),
                   {{tr("edit.block.title")}, {tr("row"), true}, {tr("tree"), true},
                    {tr("review.pruned_by")}, {tr("review.over"), true},
                    {tr("done"), false, true}});
  for (const advice::Revisit& tree : review.revisit) {
    table.add({block_text(season, tree.block), whole(tree.tree.row), whole(tree.tree.tree),
               person_text(season, tree.person), whole(tree.over), ""});
  }
  return table.text();
}

}  // namespace

std::string day_report(const ledger::Season& season, const advice::DayReview& review) {
  return paper_head(season, tr("review.title") + ", " + date_year_text(review.day)) +
         totals_table(season, review) + decisions_list(season, review) +
         blocks_table(season, review) + people_table(season, review) +
         revisit_table(season, review) + paper_foot();
}

}  // namespace nthtree::screens
