// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/scene.h"

#include <cstdlib>

#include "screens/parts/clock_doubt.h"
#include "screens/parts/places.h"
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
  if (session.demo || session.here().screen == ScreenId::sync) return "";
  const bool alone = session.sync.link == Link::never_paired;  // nobody waits for anything
  if (session.sync.unsent > 0 && !alone) return tr_count("sync.unsent", session.sync.unsent);
  if (session.sync.link == Link::unreachable) return tr("status.offline");
  if (!session.update_version.empty() && !session.drafts.count) return tr("status.update");
  return "";
}

// Said wherever the person has gone meanwhile: what they kept is not kept.
void not_saved(Scene& scene) {
  const LastSave& save = scene.session.last_save;
  const bool refused = save.state == SaveState::refused;
  if (save.state != SaveState::failed && !refused) return;
  if (notice(scene.ui, {.id = "not_saved",
                        .tone = Tone::trouble,
                        .title = tr("saved.failed"),
                        .text = trouble_text(save.trouble),
                        .action = refused ? "" : tr("saved.again"),
                        .live = true})) {
    scene.want(TrySaveAgain{});
  }
}

std::string message_of(const Scene& scene) {
  const auto& toast = scene.session.toast;
  if (!toast || toast->until_ms <= scene.now_ms()) return "";
  return tr(toast->key, {{"value", toast->value}});
}

void clock_doubted(Scene& scene) {
  const ClockDoubt doubt = clock_doubt(scene.session, scene.season);
  if (doubt == ClockDoubt::none) return;
  const bool behind = doubt == ClockDoubt::behind;
  notice(scene.ui, {.id = "clock_doubt", .tone = behind ? Tone::trouble : Tone::caution,
                    .text = tr(behind ? "clock.behind" : "clock.is_it_so",
                               {{"date", date_year_text(scene.today())}})});
}

// A clock that is minutes off is told on the page of the network; hours spoil the days of records.
void clock_warning(Scene& scene) {
  constexpr int hour = 60, day = 24 * hour;
  const int off = std::abs(scene.session.sync.clock_off_minutes);
  if (off < hour) return clock_doubted(scene);
  notice(scene.ui, {.id = "clock_off", .tone = Tone::trouble,
                    .text = off < 2 * day
                                ? tr("sync.clock", {{"n", whole(off)}})
                                : tr("sync.clock_days", {{"n", whole(off / day)}})});
}

// What nobody may miss, on every screen: a save that failed, a full phone, a private window, the
// demo, practice.
void warnings(Scene& scene) {
  const Session& session = scene.session;
  not_saved(scene);
  const bool told_full =
      session.last_save.state == SaveState::failed && session.last_save.trouble == "full";
  if (session.storage.full && !told_full) {
    notice(scene.ui, {.id = "full", .tone = Tone::trouble, .text = tr("sync.full"), .live = true});
  }
  if (session.storage.private_window) {
    notice(scene.ui, {.id = "private", .tone = Tone::trouble, .text = tr("welcome.private")});
  }
  if (session.storage.lost > 0) {
    notice(scene.ui, {.id = "lost", .tone = Tone::caution,
                      .text = tr("sync.lost", {{"n", whole(session.storage.lost)}})});
  }
  clock_warning(scene);
  other_tab(scene);
  if (session.demo && notice(scene.ui, {.id = "demo", .tone = Tone::caution,
                                        .text = tr("home.demo"),
                                        .action = tr("home.leave_demo")})) {
    scene.want(LeaveDemo{});
  }
  if (session.preferences.practice &&
      notice(scene.ui, {.id = "practice", .tone = Tone::caution, .text = tr("home.practice"),
                        .action = tr("home.leave_practice")})) {
    Preferences recording = session.preferences;
    recording.practice = false;
    scene.want(SetPreferences{recording});
  }
}

}  // namespace

void Scene::want(Intent intent) { out_.push_back(std::move(intent)); }

void Scene::go(ScreenId screen, std::string block, std::string person) {
  want(Go{Stop{screen, std::move(block), std::move(person), {}, {}}});
}

const std::string& Scene::block_id() const {
  const std::string& own = session.here().block;
  return own.empty() ? session.block : own;
}

const ledger::BlockSeason* Scene::block() const { return season.block(block_id()); }

const orchard::Block* Scene::settings() const {
  const ledger::BlockSeason* found = block();
  return found && found->block ? &*found->block : nullptr;
}

const std::string& Scene::person_id() const {
  const std::string& own = session.here().person;
  return own.empty() ? session.person : own;
}

const orchard::Person* Scene::me() const { return season.person(session.person); }

bool Scene::us_units() const {
  if (session.preferences.units == Units::farm) return season.farm().us_units;
  return session.preferences.units == Units::us;
}

std::string Scene::typed(const std::string& id, std::string otherwise) const {
  const auto field = session.fields.find(id);
  return field == session.fields.end() ? std::move(otherwise) : field->second;
}

void other_tab(Scene& scene) {
  if (scene.session.storage.writer) return;
  notice(scene.ui, {.id = "other_tab", .tone = Tone::caution, .text = tr("welcome.other_tab"),
                    .live = true});
}

void open(Scene& scene, const Head& head) {
  const Session& session = scene.session;
  const ScreenId screen = session.here().screen;
  const orchard::Person* me = scene.me();
  const Link link = session.sync.link;
  const bool offline = link != Link::reached && link != Link::never_paired;
  scene.bar = open_screen(
      scene.ui, {.key = head.key,
                 .title = head.title,
                 .back = head.back && session.stack.size() > 1,
                 .person = shows_person(screen) && me ? person_text(scene.season, me->id) : "",
                 .status = shows_person(screen) ? status_text(session) : "",
                 .status_glyph = offline ? Glyph::cloud_off : Glyph::cloud,
                 .actions = head.actions,
                 .places = places_of(scene),
                 .places_label = tr("home.places"),
                 .full = head.full,
                 .pinned = head.pinned,
                 .message = message_of(scene)});
  if (!scene.bar.place.empty()) scene.want(GoPlace{place_stop(scene.bar.place)});
  if (scene.bar.back) scene.want(Back{});
  if (scene.bar.person && screen != ScreenId::who) scene.go(ScreenId::who);
  if (scene.bar.status && screen != ScreenId::sync) scene.go(ScreenId::sync);
  // The count fills its screen: there, warnings wait until it is saved; but not why it cannot be.
  if (screen == ScreenId::count && session.last_save.state == SaveState::refused) not_saved(scene);
  if (screen != ScreenId::count && screen != ScreenId::opening) warnings(scene);
}

void finish(Scene& scene) {
  close_screen(scene.ui);
  const std::string message = message_of(scene);
  if (!message.empty() && toast(scene.ui, {.id = "toast", .text = message})) {
    scene.want(DismissToast{});
  }
}

bool asked(Scene& scene, const std::string& id, const std::string& title, const std::string& text,
           const std::string& yes, const std::string& no) {
  if (scene.session.asking != id) return false;
  const int answer = question(scene.ui, {.id = id, .title = title, .text = text, .yes = yes,
                                         .no = no, .danger = true});
  if (answer != 0) scene.want(Ask{});
  return answer == 1;
}

}  // namespace nthtree::screens
