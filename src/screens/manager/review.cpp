// SPDX-License-Identifier: Apache-2.0
// The day's review: who changed, which blocks are done as wanted, what is left against green tip,
// what being off target will cost, where to go back to.
#include <cmath>

#include "screens/manager/day_report.h"
#include "screens/each_screen.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::int64_t shown_day(const Scene& scene) {
  return scene.session.day == 0 ? scene.today() : scene.session.day;
}

void day_choice(Scene& scene, std::int64_t day) {
  scene.ui.row(
      {1, 1},
      [&] {
        if (button(scene.ui, {.id = "earlier",
                              .label = tr("review.earlier"),
                              .kind = Kind::quiet})) {
          scene.want(SetDay{day - 1});
        }
      },
      [&] {
        if (button(scene.ui, {.id = "later",
                              .label = tr("review.later"),
                              .kind = Kind::quiet,
                              .enabled = day < scene.today()})) {
          scene.want(SetDay{day + 1 >= scene.today() ? 0 : day + 1});
        }
      });
}

void totals(Scene& scene, const advice::DayReview& review) {
  heading(scene.ui, tr("review.totals"));
  fact(scene.ui, tr("review.counts"), whole(review.counts));
  fact(scene.ui, tr("review.checks"), whole(review.checks));
  if (review.trees > 0) {
    fact(scene.ui, tr("review.trees"), whole(static_cast<double>(review.trees)));
  }
  if (review.hours > 0) fact(scene.ui, tr("review.hours"), number(review.hours, 1));
  if (review.advice_given > 0) fact(scene.ui, tr("review.advice"), whole(review.advice_given));
}

void people(Scene& scene, const advice::DayReview& review) {
  if (review.pruners.empty()) return;
  heading(scene.ui, tr("review.people"));
  for (const advice::PrunerDay& day : review.pruners) {
    std::string detail = block_text(scene.season, day.block);
    if (day.counts > 0) detail += ", " + tr("review.counted_n", {{"n", whole(day.counts)}});
    if (day.checks > 0) detail += ", " + tr("review.checked_n", {{"n", whole(day.checks)}});
    if (day.trees > 0) {
      detail +=
          ", " + tr("review.pruned_n", {{"n", whole(day.trees)}, {"hours", number(day.hours, 1)}});
    }
    if (day.drifted) {
      detail +=
          ". " + tr("review.drifted", {{"when", time_text(scene.season, day.drift_began_ms)}});
    }
    if (choice_row(scene.ui, {.id = "person/" + day.person + "/" + day.block,
                              .label = person_text(scene.season, day.person),
                              .detail = detail,
                              .trailing = day.counts > 0 ? verdict_line(day.verdict) : ""})) {
      scene.go(ScreenId::standing, day.block, day.person);
    }
  }
}

void pace_facts(Scene& scene, const advice::Pace& pace) {
  paragraph(scene.ui, tr("review.pace", {{"done", whole(static_cast<double>(pace.trees_done))},
                                         {"all", whole(static_cast<double>(pace.trees))}}));
  if (pace.finish_day > 0) {
    paragraph(scene.ui, tr("review.finish", {{"date", date_text(pace.finish_day)},
                                             {"early", date_text(pace.finish_day_early)},
                                             {"late", date_text(pace.finish_day_late)}}));
    paragraph(scene.ui, tr("review.hours_left", {{"n", whole(pace.hours_left.value)}}));
  } else if (pace.trees_left > 0) {
    small_print(scene.ui, tr("review.no_pace"));
  }
  if (!pace.has_green_tip) return;
  paragraph(scene.ui, tr("review.green_tip", {{"date", date_text(pace.green_tip_day)}}));
  if (pace.finish_day == 0) return;
  const bool late = pace.probability_in_time < 0.5;
  pill(scene.ui, tr("review.in_time", {{"n", of_100(pace.probability_in_time)}}),
       late ? Tone::caution : Tone::good);
  if (late && pace.people_needed > pace.people) {
    paragraph(scene.ui, tr("review.people_needed", {{"n", whole(std::ceil(pace.people_needed))}}));
  }
}

void cost_facts(Scene& scene, const advice::Cost& cost) {
  if (!cost.known) return;
  if (!cost.has_rates) {
    small_print(scene.ui, tr("review.no_rates"));
    return;
  }
  const bool over = cost.thinning_cost.value >= 1;
  const bool lost = cost.crop_lost_value.value >= 1;
  if (over) paragraph(scene.ui, tr("review.cost_over", {{"n", whole(cost.thinning_cost.value)}}));
  if (lost)
    paragraph(scene.ui, tr("review.cost_short", {{"n", whole(cost.crop_lost_value.value)}}));
  if (!over && !lost) small_print(scene.ui, tr("review.cost_none"));
}

void block_card(Scene& scene, const advice::BlockDay& day) {
  const advice::Acceptance& done = day.acceptance;
  scene.ui.open_card();
  heading(scene.ui, block_text(scene.season, day.block), 3);
  const bool good = done.kind == advice::AcceptanceKind::accepted;
  const bool off =
      done.kind == advice::AcceptanceKind::over || done.kind == advice::AcceptanceKind::under;
  pill(scene.ui, reason_text(done.reason), good ? Tone::good : off ? Tone::caution : Tone::plain);
  if (done.counts > 0 && done.target > 0) {
    paragraph(scene.ui, tr("review.mean", {{"n", whole(done.mean.value)},
                                           {"low", whole(done.mean.low)},
                                           {"high", whole(done.mean.high)},
                                           {"target", whole(done.target)}}));
    paragraph(scene.ui, tr("review.share_out", {{"n", of_100(done.share_out_of_band.value)}}));
    if (!done.rest_possible)
      paragraph(scene.ui, tr("review.rest_not"));
    else if (done.rest_per_tree.value > 0) {
      paragraph(scene.ui, tr("review.rest", {{"n", whole(done.rest_per_tree.value)}}));
    }
  }
  pace_facts(scene, day.pace);
  cost_facts(scene, day.cost);
  if (button(scene.ui,
             {.id = "map/" + day.block,
              .label = tr("review.map", {{"block", block_text(scene.season, day.block)}}),
              .kind = Kind::quiet})) {
    scene.go(ScreenId::block_map, day.block);
  }
  scene.ui.close_card(scene.ui.theme().card);
}

void revisit(Scene& scene, const advice::DayReview& review) {
  if (review.revisit.empty()) return;
  heading(scene.ui, tr("review.revisit"));
  for (const advice::Revisit& tree : review.revisit) {
    fact(scene.ui, tree_text(tree.tree) + ", " + person_text(scene.season, tree.person),
         tr("review.over_n", {{"n", whole(tree.over)}}));
  }
}

}  // namespace

void draw_review(Scene& scene) {
  const std::int64_t day = shown_day(scene);
  const advice::DayReview& review = scene.reckoning.review(scene.season, day, scene.now_ms());
  const bool empty = review.blocks.empty() && review.pruners.empty();
  std::vector<widgets::Action> actions;
  if (!empty) actions.push_back({.id = "print", .label = tr("review.print"), .kind = Kind::quiet});
  const bool today = day == scene.today();
  open(scene, {.key = "review",
               .title = today ? tr("today") : tr("review.title") + ": " + date_text(day),
               .actions = actions});
  day_choice(scene, day);
  if (empty) {
    empty_state(scene.ui, {.id = "none",
                           .glyph = Glyph::note,
                           .text = tr("review.empty")});
  } else {
    const auto left = [&] {
      totals(scene, review);
      people(scene, review);
      revisit(scene, review);
    };
    const auto right = [&] {
      heading(scene.ui, tr("review.blocks"));
      for (const advice::BlockDay& block : review.blocks) block_card(scene, block);
    };
    side_by_side(scene, left, right);
  }
  if (scene.bar.action == "print") scene.want(PrintReport{day_report(scene.season, review)});
  finish(scene);
}

}  // namespace nthtree::screens
