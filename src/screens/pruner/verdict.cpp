// SPDX-License-Identifier: Apache-2.0
// After a count is saved: what to do on this tree, how the pruner stands, what to write on the
// tag, where to go next. For a lead: the tag against the re-count.
#include <cmath>

#include "advice/judged/this_tree.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

// What was counted: the entry in the season, or the last save or practice count before it is there.
struct Counted {
  bool known = false;
  bool is_check = false;
  int spurs = 0;
  std::optional<int> after_mend;
  orchard::TreeAddress tree;
  std::optional<ledger::RecordId> record;
};

Counted counted_here(const Frame& frame) {
  Counted found;
  found.tree = frame.session.here().tree;
  if (frame.session.practised) {
    found.known = true;
    found.is_check = frame.session.practised->purpose == CountPurpose::check;
    found.spurs = frame.session.practised->spurs();
    return found;
  }
  const LastSave& save = frame.session.last_save;
  if (const auto* check = std::get_if<ledger::CheckCount>(&save.body);
      check && check->tree == found.tree) {
    found.known = found.is_check = true;
    found.spurs = check->spurs;
    const ledger::BlockSeason* here = frame.block();
    const CheckEntry* kept = here ? check_of(*here, found.tree) : nullptr;
    if (kept && kept->author == frame.session.person && kept->body.spurs == check->spurs) {
      found.record = kept->position.id;
    }
    return found;
  }
  const ledger::BlockSeason* block = frame.block();
  const TagEntry* tag = block ? tag_of(*block, found.tree, frame.session.person) : nullptr;
  const auto* body = std::get_if<ledger::TagCount>(&save.body);
  if (body && !(body->tree == found.tree)) body = nullptr;
  if (body) {  // just counted; perhaps still being written, and the season has an older one
    found.known = true;
    found.spurs = body->spurs;
    found.after_mend = body->spurs_after_mend;
    if (tag && tag->body.spurs == body->spurs) found.record = tag->position.id;
  } else if (tag) {
    found.known = true;
    found.spurs = tag->body.spurs;
    found.after_mend = tag->body.spurs_after_mend;
    found.record = tag->position.id;
  }
  return found;
}

std::string more_on_limbs(const advice::TreeAdvice& now) {
  if (now.hands.unit == advice::HandUnit::spurs_on_each_limb) {
    return tr("tree.take_more_each", {{"n", whole(now.hands.amount)}});
  }
  if (now.hands.unit == advice::HandUnit::limbs) {
    return limbs_text("tree.take_limbs", now.hands.amount);
  }
  return "";
}

const advice::Verdict& own_verdict(Frame& frame) {
  return frame.cache.verdict(frame.season, frame.block_id(), frame.session.person,
                             frame.now_ms());
}

// One large card: this tree, in one line that can be read at arm's length.
void this_tree_card(Frame& frame, const Counted& counted) {
  const int spurs = counted.after_mend.value_or(counted.spurs);
  const advice::TreeAdvice now =
      frame.cache.tree(frame.season, frame.block_id(), counted.tree, spurs, frame.now_ms());
  const bool all_stays = now.reason.id == "all_stays";
  widgets::VerdictCard card{.id = "tree_now"};
  switch (now.action) {
    case advice::TreeAction::take_more:
      card.kind = widgets::VerdictSign::harder;
      card.word = tr("tree.word.take_more");
      card.figure = whole(now.spurs);
      card.unit = tr("tree.unit.take_more");
      card.detail = tr("tree.over", {{"n", whole(now.over)}, {"target", whole(now.target)}});
      if (const std::string hands = more_on_limbs(now); !hands.empty())
        card.detail += " " + tr("verdict.hands", {{"hands", hands}});
      break;
    case advice::TreeAction::walk_on:
      card.kind = widgets::VerdictSign::on_target;
      card.word = tr("tree.fine");
      card.detail = all_stays ? reason_text(now.reason)
                              : tr("tree.fine_text", {{"n", whole(spurs)},
                                                      {"target", whole(now.target)}});
      break;
    case advice::TreeAction::leave_as_it_is:
      card.kind = widgets::VerdictSign::lighter;
      card.word = tr("tree.word.short");
      card.figure = whole(-now.over);
      card.unit = tr(all_stays ? "tree.unit.of_unpruned" : "tree.unit.short");
      card.detail = all_stays ? reason_text(now.reason)
                              : tr("tree.short_text", {{"target", whole(now.target)}});
      break;
    case advice::TreeAction::no_target:
      paragraph(frame.ui, tr("tree.no_target"));
      return;
  }
  verdict_card(frame.ui, card);
  if (counted.after_mend) {
    small_print(frame.ui, tr("tree.mended", {{"before", whole(counted.spurs)},
                                             {"after", whole(*counted.after_mend)}}));
  }
  if (now.far_off) {
    const bool again = own_verdict(frame).calls_lead;
    notice(frame.ui, {.id = "far", .tone = Tone::caution,
                      .text = tr(again ? "tree.far_off_again" : "tree.far_off")});
  }
  const bool may_mend = now.action == advice::TreeAction::take_more && counted.record &&
                        frame.session.last_save.state != SaveState::failed;
  if (may_mend &&
      button(frame.ui, {.id = "mend", .label = tr("tree.recount"), .kind = Kind::quiet})) {
    frame.want(StartMend{*counted.record});
  }
}

// A slip is seen here first: both ways to mend it stand here, and lead to the count itself.
void slips(Frame& frame, const Counted& counted) {
  if (!counted.record) return;  // practice, or not on the disk yet
  const auto way = [&](const char* id, const char* label) {
    if (button(frame.ui, {.id = id, .label = tr(label), .kind = Kind::quiet})) {
      frame.want(Go{Stop{ScreenId::entry, frame.block_id(), {}, {}, counted.record->text()}});
    }
  };
  frame.ui.row({1, 1}, [&] { way("wrong_number", "tree.wrong_number"); },
               [&] { way("wrong_tree", "tree.wrong_tree"); });
}

void tag_card(Frame& frame, const Counted& counted) {
  const orchard::Person* me = frame.me();
  const int spurs = counted.after_mend.value_or(counted.spurs);
  frame.ui.open_card();
  small_print(frame.ui, tr("tree.tag"));
  strong_line(frame.ui, tr("tree.tag_line", {{"n", whole(spurs)},
                                             {"name", me ? person_text(frame.season, me->id) : ""},
                                             {"date", date_text(frame.today())}}));
  frame.ui.close_card(frame.ui.theme().card);
}

// What this person usually misses acts in the standing and nowhere else, and is said there: from a
// share on that a pruner would notice.
void misses_line(Frame& frame, int spurs) {
  constexpr double told_from = 0.05;
  const advice::Counter counter =
      frame.cache.bias(frame.season, frame.now_ms()).of(frame.session.person);
  const double ratio = std::max(0.1, counter.ratio.value);
  const double missed = 1 - 1 / ratio;
  if (std::fabs(missed) < told_from) return;
  const char* key = missed < 0            ? "you.counts_over"
                    : counter.pairs == 0 ? "you.crew_misses"
                                         : "you.misses";
  small_print(frame.ui, tr(key, {{"n", of_100(std::fabs(missed))},
                                 {"counted", whole(spurs)},
                                 {"true", whole(spurs * ratio)}}));
}

// How the pruner stands, a line beneath the tree. It is told of what the season holds: not of a
// practice count, and not beside a count that is not on the disk.
void you_part(Frame& frame, const Counted& counted) {
  if (frame.session.practised || frame.session.last_save.state == SaveState::failed) return;
  heading(frame.ui, tr("you.title"), 3);
  verdict_here(frame, "you", own_verdict(frame), false, true);
  misses_line(frame, counted.after_mend.value_or(counted.spurs));
}

void draw_own(Frame& frame, const Counted& counted) {
  const advice::NextTree& next = next_tree_of(frame, frame.session.person);
  const bool has_next = next.tree.row > 0;
  open(frame, {.key = "verdict",
               .title = tree_text(counted.tree),
               .actions = {{.id = "next", .label = tr("done")}}});
  const auto tree_part = [&] {
    // On a lying phone the head names the tree already, and the height is for the number.
    save_state(frame);
    if (!frame.ui.wide() || frame.ui.input().height > 480) heading(frame.ui, tr("tree.title"));
    this_tree_card(frame, counted);
    tag_card(frame, counted);
    slips(frame, counted);
  };
  const auto person_part = [&] {
    you_part(frame, counted);
    if (has_next) {
      fact(frame.ui, tr("home.next"), tree_text(next.tree));
      small_print(frame.ui, reason_text(next.reason));
    }
  };
  side_by_side(frame, tree_part, person_part);
  if (frame.bar.action == "next") frame.want(Home{});
  finish(frame);
}

std::string difference_text(int tag, int check) {
  if (tag == check || check <= 0) return tr("check.same");
  const double share = (check - tag) / static_cast<double>(check);
  const std::string n = of_100(std::fabs(share));
  return share > 0 ? tr("check.more", {{"n", n}}) : tr("check.less", {{"n", n}});
}

// People miss some spurs in a hundred; a quarter is another tree, a slip, or a talk to be had.
bool are_far_apart(int tag, int check) {
  return 4 * std::abs(check - tag) >= std::max(tag, check) && tag != check;
}

void draw_check(Frame& frame, const Counted& counted) {
  const ledger::BlockSeason* block = frame.block();
  const TagEntry* tag = block ? tag_of(*block, counted.tree) : nullptr;
  const std::string whose = tag ? tag->author : "";
  std::vector<widgets::Action> actions = {{.id = "next", .label = tr("check.next")}};
  if (tag) {
    actions.push_back({.id = "see",
                       .label = tr("check.tell", {{"name", person_text(frame.season, whose)}}),
                       .kind = Kind::quiet});
  }
  open(frame, {.key = "checked", .title = tree_text(counted.tree), .actions = actions});
  const auto both_counts = [&] {
    save_state(frame);
    heading(frame.ui, tr("check.title"));
    if (tag) {
      const int tagged = tag->body.spurs_after_mend.value_or(tag->body.spurs);
      fact(frame.ui, tr("check.tag"), whole(tagged));
      fact(frame.ui, tr("check.you"), whole(counted.spurs));
      strong_line(frame.ui, difference_text(tagged, counted.spurs));
      if (are_far_apart(tagged, counted.spurs)) {
        notice(frame.ui, {.id = "apart", .tone = Tone::caution, .text = tr("check.far_apart")});
      }
    } else {
      paragraph(frame.ui, tr("check.no_tag"));
    }
    slips(frame, counted);
  };
  const auto person_part = [&] {
    if (!tag) return;
    heading(frame.ui, person_text(frame.season, whose));
    verdict_here(frame, "whose",
                 frame.cache.verdict(frame.season, frame.block_id(), whose, frame.now_ms()),
                 true, true);
  };
  side_by_side(frame, both_counts, person_part);
  if (frame.bar.action == "next") {
    frame.want(Home{});
    frame.go(ScreenId::worklist);
  }
  if (frame.bar.action == "see") frame.go(ScreenId::standing, frame.block_id(), whose);
  finish(frame);
}

}  // namespace

void draw_verdict(Frame& frame) {
  const Counted counted = counted_here(frame);
  if (counted.is_check)
    draw_check(frame, counted);
  else
    draw_own(frame, counted);
}

}  // namespace nthtree::screens
