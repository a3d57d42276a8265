// SPDX-License-Identifier: Apache-2.0
#include "screens/manager/day_report.h"

#include <vector>

#include "screens/parts/wording.h"
#include "widgets/language.h"

namespace nthtree::screens {
namespace {

using widgets::number;
using widgets::tr;

using Cells = std::vector<std::string>;

std::string row(const char* cell, const Cells& cells) {
  std::string out = "<tr>";
  for (const std::string& text : cells) {
    out += std::string("<") + cell + ">" + html(text) + "</" + cell + ">";
  }
  return out + "</tr>\n";
}

std::string table(const Cells& header, const std::vector<Cells>& rows) {
  std::string out = "<table>\n" + row("th", header);
  for (const Cells& cells : rows) out += row("td", cells);
  return out + "</table>\n";
}

std::string people_table(const ledger::Season& season, const advice::DayReview& review) {
  std::vector<Cells> rows;
  for (const advice::PrunerDay& day : review.pruners) {
    rows.push_back({person_text(season, day.person), block_text(season, day.block),
                    whole(day.counts), whole(day.trees), number(day.hours, 1),
                    verdict_line(day.verdict),
                    day.drifted ? tr("review.drifted",
                                     {{"when", time_text(season, day.drift_began_ms)}})
                                : ""});
  }
  return table({tr("review.people"), tr("review.blocks"), tr("review.counts"), tr("review.trees"),
                tr("review.hours"), tr("standing.title"), tr("standing.drift")},
               rows);
}

std::string blocks_table(const ledger::Season& season, const advice::DayReview& review) {
  std::vector<Cells> rows;
  for (const advice::BlockDay& day : review.blocks) {
    const advice::Acceptance& done = day.acceptance;
    rows.push_back({block_text(season, day.block), whole(done.target),
                    whole(done.mean.value) + " (" + range_text(done.mean.low, done.mean.high) + ")",
                    reason_text(done.reason),
                    tr("review.pace", {{"done", whole(static_cast<double>(day.pace.trees_done))},
                                       {"all", whole(static_cast<double>(day.pace.trees))}}),
                    day.pace.finish_day > 0 ? date_text(day.pace.finish_day) : ""});
  }
  return table({tr("review.blocks"), tr("standing.target"), tr("standing.left"),
                tr("review.accepted"), tr("review.trees"), tr("done")},
               rows);
}

}  // namespace

std::string html(const std::string& text) {
  std::string out;
  for (char c : text) {
    switch (c) {
      case '&': out += "&amp;"; break;
      case '<': out += "&lt;"; break;
      case '>': out += "&gt;"; break;
      case '"': out += "&quot;"; break;
      default: out.push_back(c);
    }
  }
  return out;
}

std::string day_report(const ledger::Season& season, const advice::DayReview& review) {
  std::string out = "<h1>" + html(season.farm().name) + ", " + html(date_text(review.day)) +
                    "</h1>\n";
  out += table({tr("review.counts"), tr("review.checks"), tr("review.trees"), tr("review.hours"),
                tr("review.advice")},
               {{whole(review.counts), whole(review.checks),
                 whole(static_cast<double>(review.trees)), number(review.hours, 1),
                 whole(review.advice_given)}});
  out += "<h2>" + html(tr("review.blocks")) + "</h2>\n" + blocks_table(season, review);
  out += "<h2>" + html(tr("review.people")) + "</h2>\n" + people_table(season, review);
  if (!review.revisit.empty()) {
    std::vector<Cells> rows;
    for (const advice::Revisit& tree : review.revisit) {
      rows.push_back({tree_text(tree.tree), person_text(season, tree.person),
                      tr("review.over_n", {{"n", whole(tree.over)}})});
    }
    out += "<h2>" + html(tr("review.revisit")) + "</h2>\n" +
           table({tr("tree"), tr("review.people"), tr("standing.left")}, rows);
  }
  out += "<p>" + html(tr("help.all")) + "</p>\n";
  return out;
}

}  // namespace nthtree::screens
