// SPDX-License-Identifier: Apache-2.0
#include "screens/news.h"

#include <algorithm>

#include "screens/navigation.h"
#include "screens/season/tag_code.h"

namespace nthtree::screens {
namespace {

template <typename T>
bool changed(T& value, T now) {
  if (value == now) return false;
  value = std::move(now);
  return true;
}

class Telling {
 public:
  Telling(Session& session, const ledger::Season& season) : s_(session), season_(season) {}

  bool operator()(const Clock& clock) {
    s_.now_ms = clock.now_ms;
    return false;
  }

  // --- opening
  bool operator()(const Started& started) {
    s_.varieties = started.varieties;
    s_.preferences.language = started.language;
    s_.us_region = started.us_region;
    s_.can_scan = started.can_scan;
    s_.time_zone = started.time_zone;
    s_.made_ms = started.made_ms;
    // Codes that change six times a second are a flicker.
    if (started.stillness) s_.exchange.showing.pace = 0;
    if (!started.code.empty()) s_.fields["code"] = started.code;
    return true;
  }
  bool operator()(const RecordsRead& read) {
    constexpr std::int64_t step = 5000;  // a frame for each thousand would hold up the reading
    const std::int64_t before = s_.records_read / step;
    s_.records_read += read.records;
    if (read.there > 0) s_.records_there = read.there;
    return s_.here().screen == ScreenId::opening && s_.records_read / step != before;
  }
  bool operator()(const LoadFailed& failed) {
    if (s_.reading) s_.stack = {Stop{}};  // told there
    s_.last_save.trouble = failed.trouble;
    return true;
  }
  bool operator()(const LoadTriedAgain&) {
    s_.last_save.trouble.clear();
    s_.records_read = s_.records_there = 0;
    return true;
  }
  bool operator()(const PeopleKnown& known) {
    s_.reading = true;
    take_up(known.so_far);
    return true;
  }
  bool operator()(const Loaded& loaded);

  // --- saving
  bool operator()(const Writing& writing);
  bool operator()(const Refused& refused) {
    s_.last_save = {SaveState::refused, std::nullopt, refused.trouble, refused.body};
    return true;
  }
  bool operator()(const Saved& saved) {
    s_.last_save.state = SaveState::on_phone;
    s_.last_save.trouble.clear();
    s_.storage.full = false;
    if (saved.becomes_person.empty()) return true;
    s_.person = saved.becomes_person;
    s_.fields.clear();
    begin_anew(s_, season_);
    return true;
  }
  bool operator()(const NotSaved& failed) {
    s_.last_save.state = SaveState::failed;
    s_.last_save.trouble = failed.trouble;
    return true;
  }
  bool operator()(const WritingAgain&) {
    s_.last_save.state = SaveState::writing;
    return true;
  }
  bool operator()(const DiskFull&) { return changed(s_.storage.full, true); }

  // --- the hub
  bool operator()(const SyncTold& told) {
    LastSave& last = s_.last_save;
    const bool there = last.state == SaveState::on_phone && last.record && !s_.demo &&
                       last.record->device == told.device && last.record->sequence <= told.on_hub;
    if (there) last.state = SaveState::on_hub;
    return changed(s_.sync, told.sync) || there;
  }
  bool operator()(const RecordsArrived&) {
    if (!s_.demo) meet_farm(s_, season_);
    return true;
  }
  // On an empty phone the join screen says what comes; one that has a farm already goes on with it.
  bool operator()(const FarmJoined&) {
    if (!season_.has_farm() || s_.here().screen != ScreenId::join_farm) return false;
    s_.fields.clear();
    s_.asking.clear();
    go_back(s_);
    return (*this)(Told{"toast.joined", {}, false});
  }

  // --- locks
  bool operator()(const LocksTold& told) {
    s_.locks = told.locks;
    return true;
  }
  bool operator()(const Unlocked& unlocked) {
    s_.locks.wrong = false;
    s_.locks.until_ms = 0;
    hold_phone(s_, season_, unlocked.person);
    return true;
  }
  bool operator()(const PinWrong& wrong) {
    s_.locks.wrong = true;
    s_.locks.until_ms = wrong.until_ms;
    s_.fields.erase("pin");
    return true;
  }
  bool operator()(const LockedUp&) {
    lock_up(s_, season_);
    return true;
  }
  bool operator()(const LockUnusable&) { return changed(s_.locks.unusable, true); }

  // --- the phones that have joined
  bool operator()(const PhonesAsked&) {
    s_.phones.state = Phones::State::asking;
    s_.phones.trouble.clear();
    return true;
  }
  bool operator()(const PhonesTold& told) {
    s_.phones.state = Phones::State::told;
    s_.phones.own = told.own;
    s_.phones.list = told.list;
    s_.phones.backup_old = told.backup_old;
    s_.phones.backup_ms = told.backup_ms;
    return true;
  }
  bool operator()(const PhonesRefused& refused) {
    s_.phones.state = Phones::State::refused;
    s_.phones.trouble = refused.trouble;
    return true;
  }
  bool operator()(const CodeGiven& given) {
    s_.phones.code = given.code;
    s_.phones.code_until_ms = s_.now_ms + given.minutes * std::int64_t{60000};
    return true;
  }
  bool operator()(const PhoneChanged& changed) {
    s_.fields.clear();
    s_.fields_tried = false;
    const auto say = [&](const char* key, std::int64_t n) {
      return (*this)(Told{key, std::to_string(n), false});
    };
    if (changed.forgotten >= 0) return say("toast.names_forgotten", changed.forgotten);
    if (changed.set_aside > 0) return say("toast.phone_swept", changed.set_aside);
    if (changed.counted > 0) return say("toast.phone_counted", changed.counted);
    return say("toast.phone_changed", 0);
  }

  // --- the browser
  bool operator()(const StorageTold& told) {
    StorageSummary now = told.storage;
    now.full = s_.storage.full;
    now.asked = s_.storage.asked;
    const bool back = now.brought_back > s_.storage.brought_back;
    if (back) (*this)(Told{"sync.brought_back", std::to_string(now.brought_back), false});
    return changed(s_.storage, now) || back;
  }
  bool operator()(const UpdateWaits& update) { return changed(s_.update_version, update.version); }
  bool operator()(const Told& told) {
    s_.toast = Toast{told.key, told.value, told.warning, s_.now_ms + toast_ms};
    return true;
  }
  bool operator()(const ToastOver&) {
    s_.toast.reset();
    return true;
  }

  // --- from phone to phone, out
  bool operator()(const BatchesMeasured& measured) {
    s_.exchange.batch_sizes = measured.batch_sizes;
    apply(s_, season_, ChooseBatch{measured.likely});
    return true;
  }
  bool operator()(const CodesMade& made) {
    Showing& showing = s_.exchange.showing;
    showing.codes = made.codes;
    showing.state = made.codes > 0           ? Showing::State::ready
                    : made.trouble.empty() ? Showing::State::none
                                           : Showing::State::failed;
    showing.trouble = made.trouble;
    showing.code = showing.round = 1;
    return true;
  }
  bool operator()(const CodeDrawn& drawn) {
    Showing& showing = s_.exchange.showing;
    showing.code = drawn.code;
    showing.modules_a_side = drawn.modules_a_side;
    showing.modules = drawn.modules;
    return true;
  }
  bool operator()(const RoundBegun&) {
    ++s_.exchange.showing.round;
    return true;
  }

  // --- and in. What comes in is told on its own screen, wherever the person has gone meanwhile.
  bool operator()(const FarmOffered& offered) {
    open_receive();
    s_.exchange.taken.other_farm = offered.name;
    s_.asking = "other_farm";
    return true;
  }
  bool operator()(const Taking& taking) {
    open_receive();
    s_.exchange.taken.state = taking.nothing ? Taken::State::done : Taken::State::taking;
    return true;
  }
  bool operator()(const TakenIn& in) {
    Taken& taken = s_.exchange.taken;
    taken.fresh += in.part.fresh;
    taken.known += in.part.known;
    taken.set_aside += in.part.set_aside;
    taken.damaged += in.part.damaged;
    taken.trouble.clear();
    if (in.last) taken.state = Taken::State::done;
    if (in.last && s_.here().screen != ScreenId::receive) {
      (*this)(Told{"toast.imported", std::to_string(taken.fresh), false});
    }
    return true;
  }
  bool operator()(const TakeRefused& refused) {
    s_.exchange.taken = {};
    s_.exchange.taken.state = Taken::State::refused;
    s_.exchange.taken.trouble = refused.trouble;
    return true;
  }
  bool operator()(const TakeWaits& waits) {
    if (s_.exchange.taken.state != Taken::State::taking) return false;
    return changed(s_.exchange.taken.trouble, waits.trouble);
  }
  bool operator()(const CameraRead& read) {
    Camera& camera = s_.exchange.camera;
    camera.have = read.have;
    camera.count = read.count;
    camera.damaged = read.damaged;
    camera.missing = read.missing;
    if (read.have > 0) camera.trouble.clear();
    return true;
  }
  bool operator()(const CameraSaw& saw) { return changed(s_.exchange.camera.trouble, saw.trouble); }
  bool operator()(const CameraEnded& ended) {
    if (ended.whole) s_.exchange.camera = {};
    s_.exchange.camera.on = false;
    if (!ended.trouble.empty()) s_.exchange.camera.trouble = ended.trouble;
    return true;
  }
  bool operator()(const CodeScanned& scanned) {
    s_.exchange.camera.on = false;
    s_.exchange.camera.trouble.clear();
    s_.fields["code"] = scanned.code;
    return true;
  }

  bool operator()(const TagScanned& scanned) {
    const TagRead read = read_tag(season_, scanned.text);
    Camera& camera = s_.exchange.camera;
    if (read.state != TagState::found) {
      const bool is_tag = read.state != TagState::not_a_tag;
      const bool is_ours = read.state == TagState::no_tree;
      const std::string why =
          is_ours ? "no_such_tree" : is_tag ? "other_farm_tag" : "other_code";
      return changed(camera.trouble, why);
    }
    camera.on = false;
    camera.trouble.clear();
    s_.block = read.block;
    go_instead(s_, {ScreenId::tree, read.block, {}, read.tree, {}});
    return true;
  }
  bool operator()(const StationRead& read) {
    s_.station.text = read.text;
    s_.station.too_large = read.too_large;
    return true;
  }

  // --- the demo farm
  bool operator()(const DemoOpened&) {
    s_.demo = true;
    s_.person.clear();
    s_.block.clear();
    s_.drafts = {};
    s_.parked.clear();
    s_.fields.clear();
    s_.last_save = {};
    begin_anew(s_, season_);
    return true;
  }
  bool operator()(const DemoLeft& left) {
    Session own = left.before;
    own.preferences = s_.preferences;
    own.storage = s_.storage;
    own.demo = false;
    own.toast.reset();
    s_ = std::move(own);
    begin_anew(s_, season_);
    return true;
  }

 private:
  void take_up(const Loaded& kept);
  void go_on(const Loaded& kept);
  void restore(const Loaded& kept) {
    for (const auto& [person, text] : kept.drafts) restore_drafts(s_, season_, person, text);
  }
  void open_receive() {
    if (s_.here().screen != ScreenId::receive) go_to(s_, {ScreenId::receive, {}, {}, {}, {}});
    s_.exchange.taken = {};
  }

  Session& s_;
  const ledger::Season& season_;
};

void Telling::take_up(const Loaded& kept) {
  if (!kept.memory.empty()) read_memory(s_, kept.memory);
  restore(kept);
  begin_anew(s_, season_);
  if (s_.locks.has(s_.person)) lock_up(s_, season_);
}

// Where whoever said who they are while the season was read would be without that wait. The list
// they chose from may have been behind: nobody goes on as one who is on it no more.
void Telling::go_on(const Loaded& kept) {
  s_.reading = false;
  s_.drafts = {};
  for (auto& [person, drafts] : s_.parked) drafts = {};
  restore(kept);
  const auto is_listed = [&](const std::string& id) {
    const orchard::Person* person = season_.person(id);
    return person && person->active;
  };
  const Stop& here = s_.here();
  if (here.screen == ScreenId::unlock && is_listed(here.person)) return;
  Session before;
  read_memory(before, kept.memory);
  const bool is_gone =
      !s_.person.empty() && s_.person != before.person && !is_listed(s_.person);
  if (!is_gone) return begin_anew(s_, season_);
  hold_phone(s_, season_, "");
  (*this)(Told{"toast.not_listed", {}, true});
}

bool Telling::operator()(const Loaded& loaded) {
  s_.reading ? go_on(loaded) : take_up(loaded);
  s_.exchange.can_share = loaded.can_share;
  // A phone that has joined a farm with nothing in it yet waits where it is told so.
  const bool waits = loaded.joined && s_.here().screen == ScreenId::welcome;
  if (waits || (s_.fields.count("code") && !loaded.joined)) {
    go_to(s_, {ScreenId::join_farm, {}, {}, {}, {}});
  }
  return true;
}

bool Telling::operator()(const Writing& writing) {
  using From = SaveRecords::From;
  s_.last_save = {SaveState::writing, writing.record, {}, writing.body};
  if (writing.from == From::count && s_.drafts.count) {
    s_.practised.reset();
    leave_count(s_, *std::exchange(s_.drafts.count, std::nullopt));
  }
  if (writing.from == From::buds) s_.drafts.buds.reset();
  if (writing.from == From::fields) {
    s_.fields.clear();
    leave_form(s_, writing.body);
  }
  return true;
}

}  // namespace

bool apply(Session& session, const ledger::Season& season, const News& news) {
  return std::visit(Telling(session, season), news);
}

}  // namespace nthtree::screens
