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

Neighbours neighbours(Frame& frame, std::int64_t day) {
  Neighbours found;
  for (const std::int64_t other : frame.cache.days(frame.season, frame.now_ms())) {
    if (other > day) found.later = other;
    if (other < day && found.earlier == 0) found.earlier = other;
  }
  return found;
}

void day_choice(Frame& frame, std::int64_t day) {
  const Neighbours to = neighbours(frame, day);
  const auto step = [&](const char* id, const std::string& label, std::int64_t other) {
    if (button(frame.ui, {.id = id, .label = label, .kind = Kind::quiet, .enabled = other != 0})) {
      frame.want(SetDay{other});
    }
  };
  frame.ui.row({1, 1}, [&] { step("earlier", tr("review.earlier"), to.earlier); },
               [&] { step("later", tr("review.later"), to.later); });
}

void totals(Frame& frame, const advice::DayReview& review) {
  heading(frame.ui, tr("review.totals"));
  fact(frame.ui, tr("review.counts"), whole(review.counts));
  fact(frame.ui, tr("review.checks"), whole(review.checks));
  if (review.trees > 0) {
    fact(frame.ui, tr("review.trees"), whole(static_cast<double>(review.trees)));
  }
  if (review.hours > 0) {
    fact(frame.ui, tr("review.hours"), number(review.hours, 1));
    const double wage = frame.season.farm().wage_per_hour;
    if (wage > 0) {
      fact(frame.ui, tr("review.labour"), money_text(frame.season, wage * review.hours));
    }
  }
  if (review.advice_given > 0) fact(frame.ui, tr("review.advice"), whole(review.advice_given));
}

void whole_day(Frame& frame, const advice::DayReview& review) {
  side_by_side(frame, [&] { to_decide(frame, review); }, [&] { changed_since(frame, review); });
  if (frame.ui.desk()) {
    blocks_of_day(frame, review);
    people_of_day(frame, review);
    side_by_side(frame, [&] { trees_to_revisit(frame, review); }, [&] { totals(frame, review); });
    return;
  }
  const auto right = [&] {
    people_of_day(frame, review);
    trees_to_revisit(frame, review);
    totals(frame, review);
  };
  side_by_side(frame, [&] { blocks_of_day(frame, review); }, right);
}

// The evening's two questions, where the day ends.
void evening_rows(Frame& frame) {
  const auto back = [&] {
    menu_row(frame, "going_back", ScreenId::going_back);
  };
  const auto tomorrow = [&] {
    menu_row(frame, "tomorrow", ScreenId::tomorrow);
  };
  heading(frame.ui, tr("review.evening"));
  side_by_side(frame, back, tomorrow);
}

}  // namespace

std::int64_t shown_day(Frame& frame) {
  if (frame.session.day != 0) return frame.session.day;
  const auto& days = frame.cache.days(frame.season, frame.now_ms());
  return days.empty() ? frame.today() : days.front();
}

void draw_review(Frame& frame) {
  const std::int64_t day = shown_day(frame);
  const advice::DayReview& review = frame.cache.review(frame.season, day, frame.now_ms());
  const bool empty = review.blocks.empty() && review.pruners.empty();
  std::vector<widgets::Action> actions;
  if (!empty) actions.push_back({.id = "print", .label = tr("review.print"), .kind = Kind::quiet});
  const bool today = day == frame.today();
  open(frame, {.key = "review",
               .title = today ? tr("today") : labelled(tr("review.title"), date_text(day)),
               .actions = actions, .full = true});
  if (empty) {
    empty_state(frame.ui, {.id = "none", .glyph = Glyph::note, .text = tr("review.empty")});
  } else {
    day_choice(frame, day);
    whole_day(frame, review);
  }
  if (!empty) evening_rows(frame);
  if (frame.bar.action == "print") frame.want(PrintReport{day_report(frame.season, review)});
  finish(frame);
}

}  // namespace nthtree::screens
