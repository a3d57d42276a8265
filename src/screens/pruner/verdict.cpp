// SPDX-License-Identifier: Apache-2.0
// After a count is saved: what to do on this tree, how the pruner stands, what to write on the
// tag, where to go next. For a lead: the tag against the re-count.
#include <cmath>

#include "advice/judged/this_tree.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
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

Counted counted_here(const Scene& scene) {
  Counted found;
  found.tree = scene.session.here().tree;
  if (scene.session.practised) {
    found.known = true;
    found.is_check = scene.session.practised->purpose == CountPurpose::check;
    found.spurs = scene.session.practised->spurs();
    return found;
  }
  const LastSave& save = scene.session.last_save;
  if (const auto* check = std::get_if<ledger::CheckCount>(&save.body);
      check && check->tree == found.tree) {
    found.known = found.is_check = true;
    found.spurs = check->spurs;
    const ledger::BlockSeason* here = scene.block();
    const CheckEntry* kept = here ? check_of(*here, found.tree) : nullptr;
    if (kept && kept->author == scene.session.person && kept->body.spurs == check->spurs) {
      found.record = kept->place.id;
    }
    return found;
  }
  const ledger::BlockSeason* block = scene.block();
  const TagEntry* tag = block ? tag_of(*block, found.tree, scene.session.person) : nullptr;
  const auto* body = std::get_if<ledger::TagCount>(&save.body);
  if (body && !(body->tree == found.tree)) body = nullptr;
  if (body) {  // just counted; perhaps still being written, and the season has an older one
    found.known = true;
    found.spurs = body->spurs;
    found.after_mend = body->spurs_after_mend;
    if (tag && tag->body.spurs == body->spurs) found.record = tag->place.id;
  } else if (tag) {
    found.known = true;
    found.spurs = tag->body.spurs;
    found.after_mend = tag->body.spurs_after_mend;
    found.record = tag->place.id;
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

const advice::Verdict& own_verdict(Scene& scene) {
  return scene.reckoning.verdict(scene.season, scene.block_id(), scene.session.person,
                                 scene.now_ms());
}

// One large card: this tree, in one line that can be read at arm's length.
void this_tree_card(Scene& scene, const Counted& counted) {
  const int spurs = counted.after_mend.value_or(counted.spurs);
  const advice::TreeAdvice now =
      scene.reckoning.tree(scene.season, scene.block_id(), spurs, scene.now_ms());
  widgets::VerdictCard card{.id = "tree_now"};
  switch (now.action) {
    case advice::TreeAction::take_more:
      card.kind = widgets::Verdict::harder;
      card.word = tr("tree.word.take_more");
      card.figure = whole(now.spurs);
      card.unit = tr("tree.unit.take_more");
      card.detail = tr("tree.over", {{"n", whole(now.over)}, {"target", whole(now.target)}});
      if (const std::string hands = more_on_limbs(now); !hands.empty())
        card.detail += " " + tr("verdict.hands", {{"hands", hands}});
      break;
    case advice::TreeAction::walk_on:
      card.kind = widgets::Verdict::on_target;
      card.word = tr("tree.fine");
      card.detail = tr("tree.fine_text", {{"n", whole(spurs)}, {"target", whole(now.target)}});
      break;
    case advice::TreeAction::leave_as_it_is:
      card.kind = widgets::Verdict::lighter;
      card.word = tr("tree.word.short");
      card.figure = whole(-now.over);
      card.unit = tr("tree.unit.short");
      card.detail = tr("tree.short_text", {{"target", whole(now.target)}});
      break;
    case advice::TreeAction::no_target:
      paragraph(scene.ui, tr("tree.no_target"));
      return;
  }
  verdict_card(scene.ui, card);
  if (counted.after_mend) {
    small_print(scene.ui, tr("tree.mended", {{"before", whole(counted.spurs)},
                                             {"after", whole(*counted.after_mend)}}));
  }
  if (now.far_off) {
    const bool again = own_verdict(scene).calls_lead;
    notice(scene.ui, {.id = "far", .tone = Tone::caution,
                      .text = tr(again ? "tree.far_off_again" : "tree.far_off")});
  }
  const bool may_mend = now.action == advice::TreeAction::take_more && counted.record &&
                        scene.session.last_save.state != SaveState::failed;
  if (may_mend &&
      button(scene.ui, {.id = "mend", .label = tr("tree.recount"), .kind = Kind::quiet})) {
    scene.want(StartMend{*counted.record});
  }
}

// A slip is seen here first: both ways to mend it stand here, and lead to the count itself.
void slips(Scene& scene, const Counted& counted) {
  if (!counted.record) return;  // practice, or not on the disk yet
  const auto way = [&](const char* id, const char* label) {
    if (button(scene.ui, {.id = id, .label = tr(label), .kind = Kind::quiet})) {
      scene.want(Go{Stop{ScreenId::entry, scene.block_id(), {}, {}, counted.record->text()}});
    }
  };
  scene.ui.row({1, 1}, [&] { way("wrong_number", "tree.wrong_number"); },
               [&] { way("wrong_tree", "tree.wrong_tree"); });
}

void tag_card(Scene& scene, const Counted& counted) {
  const orchard::Person* me = scene.me();
  const int spurs = counted.after_mend.value_or(counted.spurs);
  scene.ui.open_card();
  small_print(scene.ui, tr("tree.tag"));
  strong_line(scene.ui, tr("tree.tag_line", {{"n", whole(spurs)},
                                             {"name", me ? person_text(scene.season, me->id) : ""},
                                             {"date", date_text(scene.today())}}));
  scene.ui.close_card(scene.ui.theme().card);
}

// What this person usually misses acts in the standing and nowhere else, and is said there: from a
// share on that a pruner would notice.
void misses_line(Scene& scene, int spurs) {
  constexpr double told_from = 0.05;
  const advice::Counter counter =
      scene.reckoning.bias(scene.season, scene.now_ms()).of(scene.session.person);
  const double ratio = std::max(0.1, counter.ratio.value);
  const double missed = 1 - 1 / ratio;
  if (std::fabs(missed) < told_from) return;
  const char* key = missed < 0            ? "you.counts_over"
                    : counter.pairs == 0 ? "you.crew_misses"
                                         : "you.misses";
  small_print(scene.ui, tr(key, {{"n", of_100(std::fabs(missed))},
                                 {"counted", whole(spurs)},
                                 {"true", whole(spurs * ratio)}}));
}

// How the pruner stands, a line beneath the tree. It is told of what the season holds: not of a
// practice count, and not beside a count that is not on the disk.
void you_part(Scene& scene, const Counted& counted) {
  if (scene.session.practised || scene.session.last_save.state == SaveState::failed) return;
  heading(scene.ui, tr("you.title"), 3);
  verdict_here(scene, "you", own_verdict(scene), false, true);
  misses_line(scene, counted.after_mend.value_or(counted.spurs));
}

void draw_own(Scene& scene, const Counted& counted) {
  const advice::NextTree& next = next_tree_of(scene, scene.session.person);
  const bool has_next = next.tree.row > 0;
  open(scene, {.key = "verdict",
               .title = tree_text(counted.tree),
               .actions = {{.id = "next", .label = tr("done")}}});
  const auto tree_part = [&] {
    // On a lying phone the head names the tree already, and the height is for the number.
    save_state(scene);
    if (!scene.ui.wide() || scene.ui.input().height > 480) heading(scene.ui, tr("tree.title"));
    this_tree_card(scene, counted);
    tag_card(scene, counted);
    slips(scene, counted);
  };
  const auto person_part = [&] {
    you_part(scene, counted);
    if (has_next) {
      fact(scene.ui, tr("home.next"), tree_text(next.tree));
      small_print(scene.ui, reason_text(next.reason));
    }
  };
  side_by_side(scene, tree_part, person_part);
  if (scene.bar.action == "next") scene.want(Home{});
  finish(scene);
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

void draw_check(Scene& scene, const Counted& counted) {
  const ledger::BlockSeason* block = scene.block();
  const TagEntry* tag = block ? tag_of(*block, counted.tree) : nullptr;
  const std::string whose = tag ? tag->author : "";
  std::vector<widgets::Action> actions = {{.id = "next", .label = tr("check.next")}};
  if (tag) {
    actions.push_back({.id = "see",
                       .label = tr("check.tell", {{"name", person_text(scene.season, whose)}}),
                       .kind = Kind::quiet});
  }
  open(scene, {.key = "checked", .title = tree_text(counted.tree), .actions = actions});
  const auto both_counts = [&] {
    save_state(scene);
    heading(scene.ui, tr("check.title"));
    if (tag) {
      const int tagged = tag->body.spurs_after_mend.value_or(tag->body.spurs);
      fact(scene.ui, tr("check.tag"), whole(tagged));
      fact(scene.ui, tr("check.you"), whole(counted.spurs));
      strong_line(scene.ui, difference_text(tagged, counted.spurs));
      if (are_far_apart(tagged, counted.spurs)) {
        notice(scene.ui, {.id = "apart", .tone = Tone::caution, .text = tr("check.far_apart")});
      }
    } else {
      paragraph(scene.ui, tr("check.no_tag"));
    }
    slips(scene, counted);
  };
  const auto person_part = [&] {
    if (!tag) return;
    heading(scene.ui, person_text(scene.season, whose));
    verdict_here(scene, "whose",
                 scene.reckoning.verdict(scene.season, scene.block_id(), whose, scene.now_ms()),
                 true, true);
  };
  side_by_side(scene, both_counts, person_part);
  if (scene.bar.action == "next") {
    scene.want(Home{});
    scene.go(ScreenId::worklist);
  }
  if (scene.bar.action == "see") scene.go(ScreenId::standing, scene.block_id(), whose);
  finish(scene);
}

}  // namespace

void draw_verdict(Scene& scene) {
  const Counted counted = counted_here(scene);
  if (counted.is_check)
    draw_check(scene, counted);
  else
    draw_own(scene, counted);
}

}  // namespace nthtree::screens
