// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/frame.h"

#include <cstdlib>

#include "screens/parts/clock_doubt.h"
#include "screens/parts/destinations.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

// Screens on which the person chip would lead nowhere new, or would interrupt.
bool shows_person(ScreenId screen) {
  return screen != ScreenId::opening && screen != ScreenId::welcome &&
         screen != ScreenId::join_farm && screen != ScreenId::start_farm;
}

std::string status_text(const Session& session) {
  // The page of the network says it itself, large.
  if (session.demo || session.reading || session.here().screen == ScreenId::sync) return "";
  const bool alone = session.sync.link == Link::never_paired;  // nobody waits for anything
  if (session.sync.unsent > 0 && !alone) return tr_count("sync.unsent", session.sync.unsent);
  if (session.sync.link == Link::unreachable) return tr("status.offline");
  if (!session.update_version.empty() && !session.drafts.count) return tr("status.update");
  return "";
}

// Said wherever the person has gone meanwhile: what they kept is not kept.
void not_saved(Frame& frame) {
  const LastSave& save = frame.session.last_save;
  const bool refused = save.state == SaveState::refused;
  if (save.state != SaveState::failed && !refused) return;
  if (notice(frame.ui, {.id = "not_saved",
                        .tone = Tone::trouble,
                        .title = tr("saved.failed"),
                        .text = trouble_text(save.trouble),
                        .action = refused ? "" : tr("saved.again"),
                        .live = true})) {
    frame.want(TrySaveAgain{});
  }
}

std::string message_of(const Frame& frame) {
  const auto& toast = frame.session.toast;
  if (!toast || toast->until_ms <= frame.now_ms()) return "";
  return tr(toast->key, {{"value", toast->value}});
}

void clock_doubted(Frame& frame) {
  const ClockDoubt doubt = clock_doubt(frame.session, frame.season);
  if (doubt == ClockDoubt::none) return;
  const bool behind = doubt == ClockDoubt::behind;
  notice(frame.ui, {.id = "clock_doubt", .tone = behind ? Tone::trouble : Tone::caution,
                    .text = tr(behind ? "clock.behind" : "clock.is_it_so",
                               {{"date", date_year_text(frame.today())}})});
}

// A clock that is minutes off is told on the page of the network; hours spoil the days of records.
void clock_warning(Frame& frame) {
  constexpr int hour = 60, day = 24 * hour;
  const int off = std::abs(frame.session.sync.clock_off_minutes);
  if (off < hour) return clock_doubted(frame);
  notice(frame.ui, {.id = "clock_off", .tone = Tone::trouble,
                    .text = off < 2 * day
                                ? tr("sync.clock", {{"n", whole(off)}})
                                : tr("sync.clock_days", {{"n", whole(off / day)}})});
}

// What nobody may miss, on every screen: a save that failed, a full phone, a private window, the
// demo, practice.
void warnings(Frame& frame) {
  const Session& session = frame.session;
  not_saved(frame);
  const bool told_full =
      session.last_save.state == SaveState::failed && session.last_save.trouble == "full";
  if (session.storage.full && !told_full) {
    notice(frame.ui, {.id = "full", .tone = Tone::trouble, .text = tr("sync.full"), .live = true});
  }
  if (session.storage.private_window) {
    notice(frame.ui, {.id = "private", .tone = Tone::trouble, .text = tr("welcome.private")});
  }
  if (session.storage.lost > 0) {
    notice(frame.ui, {.id = "lost", .tone = Tone::caution,
                      .text = tr("sync.lost", {{"n", whole(session.storage.lost)}})});
  }
  if (!session.reading) clock_warning(frame);  // a clock is doubted by the last records
  other_tab(frame);
  if (session.demo && notice(frame.ui, {.id = "demo", .tone = Tone::caution,
                                        .text = tr("home.demo"),
                                        .action = tr("home.leave_demo")})) {
    frame.want(LeaveDemo{});
  }
  if (session.preferences.practice &&
      notice(frame.ui, {.id = "practice", .tone = Tone::caution, .text = tr("home.practice"),
                        .action = tr("home.leave_practice")})) {
    Preferences recording = session.preferences;
    recording.practice = false;
    frame.want(SetPreferences{recording});
  }
}

}  // namespace

void Frame::want(Intent intent) { out_.push_back(std::move(intent)); }

void Frame::go(ScreenId screen, std::string block, std::string person) {
  want(Go{Stop{screen, std::move(block), std::move(person), {}, {}}});
}

const std::string& Frame::block_id() const {
  const std::string& own = session.here().block;
  return own.empty() ? session.block : own;
}

const ledger::BlockSeason* Frame::block() const { return season.block(block_id()); }

const orchard::Block* Frame::settings() const {
  const ledger::BlockSeason* found = block();
  return found && found->block ? &*found->block : nullptr;
}

const std::string& Frame::person_id() const {
  const std::string& own = session.here().person;
  return own.empty() ? session.person : own;
}

const orchard::Person* Frame::me() const { return season.person(session.person); }

bool Frame::us_units() const {
  if (session.preferences.units == Units::farm) return season.farm().us_units;
  return session.preferences.units == Units::us;
}

std::string Frame::typed(const std::string& id, std::string otherwise) const {
  const auto field = session.fields.find(id);
  return field == session.fields.end() ? std::move(otherwise) : field->second;
}

void other_tab(Frame& frame) {
  if (frame.session.storage.writer) return;
  notice(frame.ui, {.id = "other_tab", .tone = Tone::caution, .text = tr("welcome.other_tab"),
                    .live = true});
}

void open(Frame& frame, const Head& head) {
  const Session& session = frame.session;
  const ScreenId screen = session.here().screen;
  const orchard::Person* me = frame.me();
  const Link link = session.sync.link;
  const bool offline = link != Link::reached && link != Link::never_paired;
  frame.bar = open_screen(
      frame.ui, {.key = head.key,
                 .title = head.title,
                 .back = head.back && session.stack.size() > 1,
                 .person = shows_person(screen) && me ? person_text(frame.season, me->id) : "",
                 .status = shows_person(screen) ? status_text(session) : "",
                 .status_glyph = offline ? Glyph::cloud_off : Glyph::cloud,
                 .actions = head.actions,
                 .destinations = destinations_of(frame),
                 .destinations_label = tr("home.places"),
                 .full = head.full,
                 .pinned = head.pinned,
                 .message = message_of(frame)});
  if (!frame.bar.destination.empty())
    frame.want(GoToDestination{destination_stop(frame.bar.destination)});
  if (frame.bar.back) frame.want(Back{});
  if (frame.bar.person && screen != ScreenId::who) frame.go(ScreenId::who);
  if (frame.bar.status && screen != ScreenId::sync) frame.go(ScreenId::sync);
  // The count fills its screen: there, warnings wait until it is saved; but not why it cannot be.
  if (screen == ScreenId::count && session.last_save.state == SaveState::refused) not_saved(frame);
  if (screen != ScreenId::count && screen != ScreenId::opening) warnings(frame);
}

void finish(Frame& frame) {
  close_screen(frame.ui);
  const std::string message = message_of(frame);
  if (!message.empty() && toast(frame.ui, {.id = "toast", .text = message})) {
    frame.want(DismissToast{});
  }
}

bool asked(Frame& frame, const std::string& id, const std::string& title, const std::string& text,
           const std::string& yes, const std::string& no) {
  if (frame.session.asking != id) return false;
  const int answer = question(frame.ui, {.id = id, .title = title, .text = text, .yes = yes,
                                         .no = no, .danger = true});
  if (answer != 0) frame.want(Ask{});
  return answer == 1;
}

}  // namespace nthtree::screens
