// SPDX-License-Identifier: Apache-2.0
#include "screens/season/season_words.h"

#include "screens/parts/paper.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

// Empty in place of what nobody counted.
std::string some(bool is_known, const std::string& text) { return is_known ? text : ""; }

}  // namespace

std::string year_text(const advice::SeasonOfBlock& season) {
  return season.is_closed ? std::to_string(season.year) : tr("years.now");
}

std::vector<std::string> years_head() {
  return {tr("years.year"), tr("years.planned"), tr("years.left"),
          tr("years.set"),  tr("years.picked"),  tr("years.again")};
}

std::vector<std::string> years_row(const advice::SeasonOfBlock& season) {
  const advice::Learning& learnt = season.learnt;
  const bool has_set = learnt.fruits > 0 && learnt.flowering > 0;
  return {year_text(season),
          some(season.planned > 0, whole(season.planned)),
          some(season.left.value > 0, whole(season.left.value)),
          some(has_set, of_100(learnt.set_per_spur.value)),
          some(learnt.picked_trees > 0, whole(learnt.picked_per_tree)),
          some(learnt.return_trees > 0, widgets::percent(learnt.return_bloom.value))};
}

std::string bearing_text(const orchard::BiennialIndex& bearing) {
  return tr_count("years.bearing", bearing.pairs + 1,
                  {{"index", number(bearing.mean, 2)},
                   {"chance", number(orchard::biennial_index_by_chance, 2)}});
}

std::string next_target_text(const advice::NextTarget& next) {
  return tr("years.next", {{"now", number(next.insurance_now, 2)},
                           {"next", number(next.insurance_next, 2)},
                           {"leave", whole(next.leave_now)},
                           {"hindsight", whole(next.leave_in_hindsight)}});
}

std::string reasons_text(const std::vector<advice::Reason>& reasons) {
  std::string text;
  for (const advice::Reason& reason : reasons) {
    text += (text.empty() ? "" : " ") + reason_text(reason);
  }
  return text;
}

std::string season_paper(Frame& frame) {
  std::string page = paper_head(frame.season, tr("years.title"));
  for (const auto& [id, block] : frame.season.blocks()) {
    if (!block.block) continue;
    const advice::BlockYears& years = frame.cache.years(frame.season, id, frame.now_ms());
    std::vector<PaperColumn> columns;
    for (const std::string& head : years_head()) columns.push_back({head, !columns.empty()});
    PaperTable table(block_text(frame.season, id) + ", " + block.block->variety, columns);
    for (const advice::SeasonOfBlock& season : years.seasons) table.add(years_row(season));
    page += table.text();
    if (years.bearing) page += "<p>" + html(bearing_text(*years.bearing)) + "</p>\n";
    const advice::NextTarget& next = frame.cache.next_target(frame.season, id);
    if (!next.known) continue;
    page += "<p><strong>" + html(next_target_text(next)) + "</strong> " +
            html(reasons_text(next.reasons)) + "</p>\n";
  }
  return page + paper_foot();
}

}  // namespace nthtree::screens
