// SPDX-License-Identifier: Apache-2.0
#include "screens/intents.h"

#include <algorithm>

#include "ledger/current.h"
#include "orchard/limits.h"
#include "screens/navigation.h"
#include "screens/parts/limb_draft.h"

namespace nthtree::screens {
namespace {

constexpr int spurs_max = static_cast<int>(orchard::limits::spurs_per_tree.high);

// Keeps an address inside the block, so that the arrows cannot walk off the orchard.
orchard::TreeAddress inside(const ledger::Season& season, const std::string& block,
                            orchard::TreeAddress tree) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found || !found->block) return tree;
  const orchard::Block& settings = *found->block;
  tree.row = std::clamp(tree.row, 1, std::max(1, settings.rows));
  tree.tree = std::clamp(tree.tree, 1, std::max(1, settings.trees_in_row(tree.row)));
  return tree;
}

class Applying {
 public:
  Applying(Session& session, const ledger::Season& season) : s_(session), season_(season) {}

  void operator()(const Go& go) {
    go_to(s_, go.to);
    const bool asks_code = go.to.screen == ScreenId::edit_phone && go.to.record.empty();
    if (asks_code) s_.phones.code.clear();
    const bool busy = s_.exchange.taken.state == Taken::State::taking;
    if (go.to.screen == ScreenId::receive && !busy) s_.exchange.taken = {};
  }
  void operator()(const Replace& replace) { go_instead(s_, replace.to); }
  void operator()(const Home&) { go_home(s_); }
  void operator()(const GoToDestination& place) {
    s_.day = 0;
    go_home(s_);
    go_to(s_, place.to);
  }
  void operator()(const Back&) { go_back(s_); }
  void operator()(const ChoosePerson& choice) {
    const bool locked = !s_.demo && s_.locks.has(choice.person);
    if (!locked) return hold_phone(s_, season_, choice.person);
    s_.fields.erase("pin");
    s_.locks.wrong = false;
    go_to(s_, {ScreenId::unlock, {}, choice.person, {}, {}});
  }
  void operator()(const Unlock&) { s_.fields.erase("pin"); }
  void operator()(const SetPin&) { s_.fields.clear(); }
  void operator()(const ForgetPin&) { s_.asking.clear(); }
  void operator()(const PinDigit& typed) {
    std::string& pin = s_.fields["pin"];
    s_.locks.wrong = false;
    if (typed.digit == 'c') pin.clear();
    else if (typed.digit == 'b') pin = pin.substr(0, pin.size() - (pin.empty() ? 0 : 1));
    else if (pin.size() < pin_digits_max) pin.push_back(typed.digit);
  }
  void operator()(const ChooseBlock& choice) {
    s_.block = choice.block;
    s_.asking.clear();
    if (s_.stack.size() > 1)
      go_back(s_);
    else
      begin_anew(s_, season_);
  }

  void operator()(const OpenCount& open);
  void operator()(const Taps& taps);
  void operator()(const UndoTap&);
  void operator()(const NextLimb&);
  void operator()(const Digit& digit);
  void operator()(const ChooseWay& choice);
  void operator()(const ChooseNumber& choice) {
    if (s_.drafts.count) s_.drafts.count->on_second = choice.second;
  }
  void operator()(const MoveTree& move) {
    if (CountDraft* draft = count()) {
      set_tree({draft->tree.row + move.rows, draft->tree.tree + move.trees});
    }
  }
  void operator()(const SetTree& set) { set_tree(set.tree); }
  void operator()(const StartMend& mend);
  void operator()(const DropDraft&) {
    s_.drafts.count.reset();
    s_.asking.clear();
    if (s_.here().screen == ScreenId::count) go_back(s_);
  }
  void operator()(const FinishPractice&) {
    if (!s_.drafts.count) return;
    s_.practised = s_.drafts.count;
    s_.last_save = {};
    s_.drafts.count.reset();
    if (stop_after(*s_.practised).screen != ScreenId::verdict) tell_practised();
    leave_count(s_, CountDraft(*s_.practised));  // leaving may forget what was practised
  }

  void operator()(const OpenBuds& open) {
    if (s_.drafts.buds && !s_.drafts.buds->empty()) return;  // finish the open branch first
    s_.drafts.buds = BudDraft{};
    s_.drafts.buds->block = open.block;
    s_.drafts.buds->tree = inside(season_, open.block, open.tree);
    s_.drafts.buds->position = open.position;
    s_.drafts.buds->started_ms = s_.now_ms;
  }
  void operator()(const BudTaps& taps) {
    if (!s_.drafts.buds) return;
    int& count = s_.drafts.buds->counts[static_cast<int>(taps.kind)];
    for (int i = 0; i < taps.times && count < 500; ++i) {
      ++count;
      s_.drafts.buds->steps.push_back(taps.kind);
    }
  }
  void operator()(const UndoBud&) {
    if (!s_.drafts.buds || s_.drafts.buds->steps.empty()) return;
    --s_.drafts.buds->counts[static_cast<int>(s_.drafts.buds->steps.back())];
    s_.drafts.buds->steps.pop_back();
  }
  void operator()(const DropBuds& drop) {
    if (drop.practised) tell_practised();
    s_.drafts.buds.reset();
    s_.asking.clear();
  }
  void operator()(const Ask& ask) { s_.asking = ask.question; }

  void operator()(const SetField& set) { s_.fields[set.field] = set.value; }
  void operator()(const TryFields& tried) {
    s_.fields_tried = true;
    s_.fields_wrong = tried.wrong;
  }
  void operator()(const ClearFields&) {
    s_.fields.clear();
    s_.fields_tried = false;
  }
  void operator()(const SetFilter& filter) { s_.filter = filter.text; }
  void operator()(const OpenReason& reason) { s_.reason_open = reason.open; }
  void operator()(const SetDay& day) { s_.day = day.day; }
  void operator()(const SortBy& sort) { s_.sorted[sort.table] = sort.by; }

  void operator()(const SaveRecords&) { s_.asking.clear(); }
  void operator()(const AskPersistence&) { s_.storage.asked = true; }
  void operator()(const DrawLimbs& draw);
  void operator()(const ChooseSize& choice);
  void operator()(const SetPreferences& set) {
    const bool language = set.preferences.language != s_.preferences.language;
    s_.preferences = set.preferences;
    if (language && !s_.person.empty()) s_.languages[s_.person] = s_.preferences.language;
  }
  void operator()(const GiveCode&) { s_.phones.code.clear(); }
  void operator()(const ChangePhone&) { s_.asking.clear(); }
  void operator()(const ForgetNames&) { s_.asking.clear(); }
  void operator()(const DismissToast&) { s_.toast.reset(); }
  void operator()(const PickStation&) { s_.station.too_large = false; }
  void operator()(const StationKept& kept) {
    s_.station.columns[kept.head] = kept.columns;
    put_station_away();
  }
  void operator()(const StationAway&) { put_station_away(); }

  // The camera and the disk are the app's; here is what the screen says of them.
  void operator()(const StartScan&) {
    s_.exchange.camera.on = true;
    s_.exchange.camera.damaged = 0;
    s_.exchange.camera.trouble.clear();
    if (s_.exchange.taken.state != Taken::State::taking) s_.exchange.taken = {};
  }
  void operator()(const StopScan&) { s_.exchange.camera.on = false; }
  void operator()(const ChooseBatch& choice) {
    Showing showing;
    showing.batch = choice.batch;
    showing.pace = s_.exchange.showing.pace;
    showing.state = Showing::State::making;
    s_.exchange.showing = showing;
  }
  void operator()(const PauseCodes& pause) { s_.exchange.showing.paused = pause.on; }
  void operator()(const SetPace& set) { s_.exchange.showing.pace = set.pace; }
  void operator()(const ShowCode& show) {
    s_.exchange.showing.code = show.code;
    s_.exchange.showing.paused = true;
  }

  // The app's alone.
  template <typename Other>
  void operator()(const Other&) {}

 private:
  CountDraft* count() { return s_.drafts.count ? &*s_.drafts.count : nullptr; }
  void set_tree(orchard::TreeAddress tree) {
    CountDraft* draft = count();
    // A mend is of the tree just counted, a turn of an exercise of its tree.
    if (!draft || draft->mends || draft->round > 0) return;
    draft->tree = inside(season_, draft->block, tree);
    draft->moved = true;
  }
  void put_station_away() {
    s_.station.text.clear();
    std::erase_if(s_.fields, [](const auto& field) { return field.first.starts_with("station/"); });
  }
  void tell_practised() { s_.toast = Toast{"saved.practice", {}, false, s_.now_ms + toast_ms}; }
  void touch(CountDraft& draft) {
    if (draft.last_tap_ms > 0 && s_.now_ms > draft.last_tap_ms) {
      draft.active_ms += std::min(s_.now_ms - draft.last_tap_ms, pause_ms_max);
    }
    draft.last_tap_ms = s_.now_ms;
  }

  Session& s_;
  const ledger::Season& season_;
};

void Applying::operator()(const OpenCount& open) {
  const CountDraft* draft = count();
  // A count that is under way is never thrown away by opening another one: it comes back first.
  if (!draft || draft->empty()) {
    CountDraft fresh;
    fresh.purpose = open.purpose;
    fresh.person = s_.person;
    fresh.block = open.block;
    fresh.tree = inside(season_, open.block, open.tree);
    fresh.practice = s_.preferences.practice;
    fresh.exercise = open.exercise;
    fresh.round = open.round;
    fresh.started_ms = s_.now_ms;
    fresh.last_tap_ms = s_.now_ms;
    if (open.purpose == CountPurpose::harvest) fresh.way = CountWay::keypad;
    if (open.purpose == CountPurpose::part_check) fresh.draw = drawn_before(season_, fresh);
    if (fresh.is_part()) fresh.way = CountWay::limbs;
    s_.drafts.count = fresh;
  }
  const Stop to{ScreenId::count, s_.drafts.count->block, {}, {}, {}};
  go_to(s_, s_.here().screen == ScreenId::count ? Stop(s_.here()) : to);
}

void Applying::operator()(const Taps& taps) {
  CountDraft* draft = count();
  if (!draft) return;
  touch(*draft);
  for (int i = 0; i < taps.times; ++i) {
    int& limb = draft->limbs.back();
    if (limb + taps.each < 0 || draft->spurs() + taps.each > spurs_max) continue;
    limb += taps.each;
    draft->steps.push_back(taps.each);
  }
}

// A typed number takes the place of what was counted, and undo gives that back.
void replace_by_typed(CountDraft& draft) {
  const int typed = draft.spurs();
  draft.replaced.insert(draft.replaced.end(), draft.limbs.begin(), draft.limbs.end());
  draft.replaced.push_back(static_cast<int>(draft.limbs.size()));
  draft.limbs = {typed};
  draft.steps.push_back(step_typed);
  draft.digits.clear();
}

// The draft may come from a phone's store: of a text that does not fit together nothing is made up.
void bring_back_replaced(CountDraft& draft) {
  std::vector<int>& replaced = draft.replaced;
  if (replaced.empty()) return;
  const auto limbs = static_cast<std::size_t>(replaced.back());
  replaced.pop_back();
  if (limbs == 0 || limbs > replaced.size()) return replaced.clear();
  draft.limbs.assign(replaced.end() - static_cast<std::ptrdiff_t>(limbs), replaced.end());
  replaced.resize(replaced.size() - limbs);
}

void Applying::operator()(const UndoTap&) {
  CountDraft* draft = count();
  if (!draft || draft->steps.empty()) return;
  touch(*draft);
  const int step = draft->steps.back();
  draft->steps.pop_back();
  if (step == step_typed) {
    bring_back_replaced(*draft);
  } else if (step != 0) {
    draft->limbs.back() -= step;
  } else if (draft->limbs.size() > 1) {
    draft->limbs.pop_back();
  }
}

void Applying::operator()(const NextLimb&) {
  CountDraft* draft = count();
  if (!draft || draft->limbs.size() >= 200 || draft->all_drawn_counted()) return;
  touch(*draft);
  draft->on_second = false;
  draft->limbs.push_back(0);
  draft->steps.push_back(0);
}

void Applying::operator()(const DrawLimbs& draw) {
  CountDraft* draft = count();
  if (!draft || !draft->is_part()) return;
  touch(*draft);
  s_.asking.clear();
  if (draw.again) {
    number_again(*draft);
  } else {
    draw_limbs(*draft, season_, s_.now_ms);
  }
}

void Applying::operator()(const ChooseSize& choice) {
  if (CountDraft* draft = count()) draft->size = choice.size;
}

void Applying::operator()(const Digit& digit) {
  CountDraft* draft = count();
  if (!draft) return;
  touch(*draft);
  std::string& text = draft->on_second ? draft->second_digits : draft->digits;
  if (digit.digit == 'c') {
    text.clear();
  } else if (digit.digit == 'b') {
    if (!text.empty()) text.pop_back();
  } else if (digit.digit >= '0' && digit.digit <= '9') {
    if (text == "0") text.clear();
    if (text.size() < keypad_digits_max) text.push_back(digit.digit);
  }
}

void Applying::operator()(const ChooseWay& choice) {
  CountDraft* draft = count();
  if (!draft || draft->way == choice.way) return;
  if (choice.way == CountWay::keypad) {
    draft->digits.clear();  // the tapped number still stands until a digit is typed
  } else if (draft->way == CountWay::keypad && !draft->digits.empty()) {
    replace_by_typed(*draft);  // go on from the typed number
  }
  draft->way = choice.way;
}

// What passed between a tree's first count and the one after taking more; not known where a count
// lies between them, or where it is longer than it can take.
std::optional<int> mend_seconds(const ledger::Entry<ledger::TagCount>& first, std::int64_t now_ms) {
  if (first.body.spurs_after_mend) return std::nullopt;
  const std::int64_t seconds = (now_ms - first.at_ms()) / 1000;
  if (!orchard::limits::counting_seconds.holds(static_cast<double>(seconds))) return std::nullopt;
  return static_cast<int>(seconds);
}

void Applying::operator()(const StartMend& mend) {
  for (const auto& [id, block] : season_.blocks()) {
    for (const auto& entry : ledger::current(block.tag_counts)) {
      if (!(entry.position.id == mend.record)) continue;
      CountDraft draft;
      draft.purpose = CountPurpose::tag;
      draft.person = entry.author;
      draft.block = id;
      draft.tree = entry.body.tree;
      draft.mends = mend.record;
      draft.spurs_before_mend = entry.body.spurs;
      draft.limbs_before_mend = entry.body.limbs;
      draft.seconds_before_mend = entry.body.seconds;
      draft.mend_seconds = mend_seconds(entry, s_.now_ms);
      draft.started_ms = draft.last_tap_ms = s_.now_ms;
      s_.drafts.count = draft;
      go_instead(s_, {ScreenId::count, id, {}, {}, {}});
      return;
    }
  }
}

}  // namespace

void apply(Session& session, const ledger::Season& season, const Intent& intent) {
  std::visit(Applying(session, season), intent);
}

bool touches_drafts(const Intent& intent) {
  return std::holds_alternative<Taps>(intent) || std::holds_alternative<UndoTap>(intent) ||
         std::holds_alternative<NextLimb>(intent) || std::holds_alternative<Digit>(intent) ||
         std::holds_alternative<ChooseWay>(intent) || std::holds_alternative<MoveTree>(intent) ||
         std::holds_alternative<ChooseNumber>(intent) || std::holds_alternative<SetTree>(intent) ||
         std::holds_alternative<DrawLimbs>(intent) || std::holds_alternative<ChooseSize>(intent) ||
         std::holds_alternative<DropDraft>(intent) ||
         std::holds_alternative<FinishPractice>(intent) ||
         std::holds_alternative<BudTaps>(intent) || std::holds_alternative<UndoBud>(intent) ||
         std::holds_alternative<DropBuds>(intent);
}

bool needs_season(const Intent& intent) {
  return !(std::holds_alternative<ChoosePerson>(intent) ||
           std::holds_alternative<Unlock>(intent) ||
           std::holds_alternative<UnlockByPhone>(intent) ||
           std::holds_alternative<PinDigit>(intent) || std::holds_alternative<Back>(intent) ||
           std::holds_alternative<SetPreferences>(intent) ||
           std::holds_alternative<ReadAgain>(intent) ||
           std::holds_alternative<DismissToast>(intent) ||
           std::holds_alternative<Announce>(intent));
}

bool touches_memory(const Intent& intent) {
  return std::holds_alternative<ChoosePerson>(intent) ||
         std::holds_alternative<ChooseBlock>(intent) ||
         std::holds_alternative<StationKept>(intent) ||
         std::holds_alternative<SetPreferences>(intent);
}

}  // namespace nthtree::screens
