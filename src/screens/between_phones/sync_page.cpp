// SPDX-License-Identifier: Apache-2.0
// Network and storage in plain words: what is not sent, what the browser promised, what to do.
#include <cstdlib>

#include "screens/each_screen.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::string link_text(const Scene& scene) {
  switch (scene.session.sync.link) {
    case Link::never_paired: return tr("sync.link.never_paired");
    case Link::trying: return tr("sync.link.trying");
    case Link::reached:
      return tr("sync.link.reached",
                {{"when", when_text(scene.session.sync.last_reached_ms, scene.now_ms())}});
    case Link::unreachable: return tr("sync.link.unreachable");
    case Link::refused: break;
  }
  return refused_text(scene.session.sync.key_refusal);
}

// What does not stand as its writer's own word, and what that means for the numbers.
void standing_of_records(Scene& scene) {
  const SyncSummary& sync = scene.session.sync;
  if (sync.hearsay > 0) {
    small_print(scene.ui, tr("sync.hearsay", {{"n", whole(sync.hearsay)}}));
  }
  if (sync.outside_role > 0) {
    notice(scene.ui, {.id = "outside_role", .tone = Tone::caution,
                      .text = tr("sync.outside_role", {{"n", whole(sync.outside_role)}})});
  }
}

void network(Scene& scene) {
  const SyncSummary& sync = scene.session.sync;
  if (sync.link != Link::never_paired) {
    const std::string oldest =
        tr("sync.since", {{"when", when_text(sync.unsent_since_ms, scene.now_ms())}});
    big_number(scene.ui, whole(sync.unsent), sync.unsent > 0 ? oldest : tr("sync.all_sent"));
  }
  paragraph(scene.ui, link_text(scene));
  if (sync.not_backed_up > 0) {
    small_print(scene.ui, tr("sync.not_backed_up", {{"n", whole(sync.not_backed_up)}}));
  }
  if (sync.set_aside > 0) {
    notice(scene.ui, {.id = "set_aside", .tone = Tone::caution,
                      .text = tr("sync.set_aside", {{"n", whole(sync.set_aside)}})});
  }
  standing_of_records(scene);
  // Hours are told at the head of every screen.
  if (sync.clock_off_minutes != 0 && std::abs(sync.clock_off_minutes) < 60) {
    notice(scene.ui, {.id = "clock", .tone = Tone::caution,
                      .text = tr("sync.clock", {{"n", whole(sync.clock_off_minutes)}})});
  }
  clocks_ahead(scene);
  const bool can_join = sync.link == Link::never_paired || sync.link == Link::refused;
  if (can_join) menu_row(scene, "join", tr("sync.join"), ScreenId::join_farm, Glyph::phone);
}

void storage(Scene& scene) {
  const StorageSummary& store = scene.session.storage;
  heading(scene.ui, tr("sync.storage"));
  if (store.known) {
    paragraph(scene.ui, store.persisted ? tr("sync.persisted") : tr("sync.not_persisted"));
  }
  if (store.asked && !store.persisted) {
    notice(scene.ui, {.id = "no_promise", .tone = Tone::caution, .text = tr("sync.no_promise")});
  } else if (store.known && !store.persisted &&
      button(scene.ui, {.id = "ask", .label = tr("sync.ask"), .kind = Kind::quiet})) {
    scene.want(AskPersistence{});
  }
  if (store.brought_back > 0) {
    paragraph(scene.ui, tr("sync.brought_back", {{"value", whole(store.brought_back)}}));
  }
  if (store.known && !store.second_copy) paragraph(scene.ui, tr("sync.one_copy"));
  install(scene);
  if (store.usage_bytes >= 0) {
    small_print(scene.ui, tr("sync.used", {{"n", number(store.usage_bytes / 1e6, 1)}}));
  }
  menu_row(scene, "hand_over", tr("hand.title"), ScreenId::hand_over, Glyph::phone);
  menu_row(scene, "receive", tr("take.title"), ScreenId::receive, Glyph::up);
  menu_row(scene, "share", tr("share.title"), ScreenId::share, Glyph::share);
}

void update(Scene& scene) {
  if (scene.session.update_version.empty()) return;
  heading(scene.ui, tr("sync.update"));
  const Drafts& drafts = scene.session.drafts;
  const bool counting = (drafts.count && !drafts.count->empty()) ||
                        (drafts.buds && !drafts.buds->empty());
  if (counting) {
    paragraph(scene.ui, tr("sync.update_wait"));
  } else if (button(scene.ui, {.id = "update", .label = tr("sync.update_go"),
                               .kind = Kind::quiet})) {
    scene.want(ApplyUpdate{});
  }
}

}  // namespace

void draw_sync_page(Scene& scene) {
  std::vector<widgets::Action> actions;
  if (scene.session.sync.link != Link::never_paired) {
    actions.push_back({.id = "now", .label = tr("sync.now"),
                       .enabled = scene.session.sync.link != Link::trying});
  }
  open(scene, {.key = "sync", .title = tr("sync.title"), .actions = actions});
  network(scene);
  update(scene);
  storage(scene);
  if (scene.bar.action == "now") scene.want(SyncNow{});
  finish(scene);
}

}  // namespace nthtree::screens
