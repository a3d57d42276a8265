// SPDX-License-Identifier: Apache-2.0
// The day's review: what needs a decision, who changed, which blocks are done as wanted, what is
// left against green tip, what being off target will cost, where to go back to.
#include "screens/manager/review_parts.h"

#include <algorithm>

#include "screens/each_screen.h"
#include "screens/manager/day_report.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

// The days with records before and after the one shown; 0 where there is none.
struct Neighbours {
  std::int64_t earlier = 0, later = 0;
};

Neighbours neighbours(Scene& scene, std::int64_t day) {
  Neighbours found;
  for (const std::int64_t other : scene.reckoning.days(scene.season, scene.now_ms())) {
    if (other > day) found.later = other;
    if (other < day && found.earlier == 0) found.earlier = other;
  }
  return found;
}

void day_choice(Scene& scene, std::int64_t day) {
  const Neighbours to = neighbours(scene, day);
  const auto step = [&](const char* id, const std::string& label, std::int64_t other) {
    if (button(scene.ui, {.id = id, .label = label, .kind = Kind::quiet, .enabled = other != 0})) {
      scene.want(SetDay{other});
    }
  };
  scene.ui.row({1, 1}, [&] { step("earlier", tr("review.earlier"), to.earlier); },
               [&] { step("later", tr("review.later"), to.later); });
}

void totals(Scene& scene, const advice::DayReview& review) {
  heading(scene.ui, tr("review.totals"));
  fact(scene.ui, tr("review.counts"), whole(review.counts));
  fact(scene.ui, tr("review.checks"), whole(review.checks));
  if (review.trees > 0) {
    fact(scene.ui, tr("review.trees"), whole(static_cast<double>(review.trees)));
  }
  if (review.hours > 0) {
    fact(scene.ui, tr("review.hours"), number(review.hours, 1));
    const double wage = scene.season.farm().wage_per_hour;
    if (wage > 0) {
      fact(scene.ui, tr("review.labour"), money_text(scene.season, wage * review.hours));
    }
  }
  if (review.advice_given > 0) fact(scene.ui, tr("review.advice"), whole(review.advice_given));
}

void whole_day(Scene& scene, const advice::DayReview& review) {
  side_by_side(scene, [&] { to_decide(scene, review); }, [&] { changed_since(scene, review); });
  if (scene.ui.desk()) {
    blocks_of_day(scene, review);
    people_of_day(scene, review);
    side_by_side(scene, [&] { trees_to_revisit(scene, review); }, [&] { totals(scene, review); });
    return;
  }
  const auto right = [&] {
    people_of_day(scene, review);
    trees_to_revisit(scene, review);
    totals(scene, review);
  };
  side_by_side(scene, [&] { blocks_of_day(scene, review); }, right);
}

// The evening's two questions, where the day ends.
void evening_rows(Scene& scene) {
  const auto back = [&] {
    menu_row(scene, "going_back", tr("back.title"), ScreenId::going_back, Glyph::undo);
  };
  const auto tomorrow = [&] {
    menu_row(scene, "tomorrow", tr("tomorrow.title"), ScreenId::tomorrow, Glyph::forward);
  };
  heading(scene.ui, tr("review.evening"));
  side_by_side(scene, back, tomorrow);
}

}  // namespace

std::int64_t shown_day(Scene& scene) {
  if (scene.session.day != 0) return scene.session.day;
  const auto& days = scene.reckoning.days(scene.season, scene.now_ms());
  return days.empty() ? scene.today() : days.front();
}

void draw_review(Scene& scene) {
  const std::int64_t day = shown_day(scene);
  const advice::DayReview& review = scene.reckoning.review(scene.season, day, scene.now_ms());
  const bool empty = review.blocks.empty() && review.pruners.empty();
  std::vector<widgets::Action> actions;
  if (!empty) actions.push_back({.id = "print", .label = tr("review.print"), .kind = Kind::quiet});
  const bool today = day == scene.today();
  open(scene, {.key = "review",
               .title = today ? tr("today") : labelled(tr("review.title"), date_text(day)),
               .actions = actions, .full = true});
  if (empty) {
    empty_state(scene.ui, {.id = "none", .glyph = Glyph::note, .text = tr("review.empty")});
  } else {
    day_choice(scene, day);
    whole_day(scene, review);
  }
  if (!empty) evening_rows(scene);
  if (scene.bar.action == "print") scene.want(PrintReport{day_report(scene.season, review)});
  finish(scene);
}

}  // namespace nthtree::screens
