// SPDX-License-Identifier: Apache-2.0
// The people of a day, and the trees to go back to.
#include <algorithm>

#include "screens/manager/review_parts.h"
#include "screens/parts/parts.h"
#include "screens/parts/sorted_table.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::string drift_text(Frame& frame, const advice::PrunerDay& day) {
  if (!day.drifted) return "";
  return tr("review.drifted", {{"when", time_text(frame.season, day.drift_began_ms)}});
}

std::string work_text(Frame& frame, const advice::PrunerDay& day) {
  std::string text = block_text(frame.season, day.block);
  if (day.counts > 0) text += ", " + tr("review.counted_n", {{"n", whole(day.counts)}});
  if (day.checks > 0) text += ", " + tr("review.checked_n", {{"n", whole(day.checks)}});
  if (day.trees > 0) {
    text += ", " + tr("review.pruned_n",
                      {{"n", whole(day.trees)}, {"hours", number(day.hours, 1)}});
  }
  const std::string drift = drift_text(frame, day);
  return drift.empty() ? text : text + ". " + drift;
}

void person_rows(Frame& frame, const advice::DayReview& review) {
  for (const advice::PrunerDay& day : review.pruners) {
    if (!day.has_standing) continue;
    if (choice_row(frame.ui, {.id = "person/" + day.person + "/" + day.block,
                              .label = person_text(frame.season, day.person),
                              .detail = work_text(frame, day),
                              .trailing = verdict_line(day.verdict)})) {
      frame.go(ScreenId::standing, day.block, day.person);
    }
  }
}

std::vector<Cell> person_cells(Frame& frame, const advice::PrunerDay& day) {
  const auto count = [](int n) { return Cell{n > 0 ? whole(n) : "", static_cast<double>(n)}; };
  return {{person_text(frame.season, day.person)},
          {block_text(frame.season, day.block)},
          count(day.counts),
          count(day.trees),
          {day.hours > 0 ? number(day.hours, 1) : "", day.hours},
          {verdict_line(day.verdict), day.verdict.over_target.value},
          {drift_text(frame, day)}};
}

// Trees and hours are there to be checked, and nobody is put in order by them or told a speed.
void person_table(Frame& frame, const advice::DayReview& review) {
  SortedTable table("people", tr("review.people"),
                    {{tr("edit.name")},
                     {tr("edit.block.title")},
                     {tr("review.counts"), true},
                     {tr("review.trees"), true, true, false},
                     {tr("review.hours"), true, true, false},
                     {tr("standing.title"), true},
                     {tr("standing.drift"), false, true}});
  for (const advice::PrunerDay& day : review.pruners) {
    if (day.has_standing) table.add(day.block + "/" + day.person, person_cells(frame, day));
  }
  if (table.empty()) return;
  if (const auto id = table.draw(frame)) {
    const std::size_t slash = id->rfind('/');
    frame.go(ScreenId::standing, id->substr(0, slash), id->substr(slash + 1));
  }
}

// Who only re-counts or prunes without counting has no standing, and no row that would lead to one.
void without_standing(Frame& frame, const advice::DayReview& review) {
  for (const advice::PrunerDay& day : review.pruners) {
    if (day.has_standing) continue;
    fact(frame.ui, person_text(frame.season, day.person), work_text(frame, day));
  }
}

}  // namespace

void people_of_day(Frame& frame, const advice::DayReview& review) {
  if (review.pruners.empty()) return;
  heading(frame.ui, tr("review.people"));
  frame.ui.desk() ? person_table(frame, review) : person_rows(frame, review);
  without_standing(frame, review);
}

void trees_to_revisit(Frame& frame, const advice::DayReview& review) {
  if (review.revisit.empty()) return;
  heading(frame.ui, tr("review.revisit"));
  for (const advice::Revisit& tree : review.revisit) {
    fact(frame.ui,
         block_text(frame.season, tree.block) + ", " + tree_in_text(tree.tree) + ", " +
             person_text(frame.season, tree.person),
         tr("review.over_n", {{"n", whole(tree.over)}}));
  }
}

}  // namespace nthtree::screens
