// SPDX-License-Identifier: Apache-2.0
// Network and storage in plain words: what is not sent, what the browser promised, what to do.
#include <cstdlib>

#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::string link_text(const Frame& frame) {
  switch (frame.session.sync.link) {
    case Link::never_paired: return tr("sync.link.never_paired");
    case Link::trying: return tr("sync.link.trying");
    case Link::reached:
      return tr("sync.link.reached",
                {{"when", when_text(frame.session.sync.last_reached_ms, frame.now_ms())}});
    case Link::unreachable: return tr("sync.link.unreachable");
    case Link::refused: break;
  }
  return refused_text(frame.session.sync.key_refusal);
}

// What does not stand as its writer's own word, and what that means for the numbers.
void standing_of_records(Frame& frame) {
  const SyncSummary& sync = frame.session.sync;
  if (sync.hearsay > 0) {
    small_print(frame.ui, tr("sync.hearsay", {{"n", whole(sync.hearsay)}}));
  }
  if (sync.outside_role > 0) {
    notice(frame.ui, {.id = "outside_role", .tone = Tone::caution,
                      .text = tr("sync.outside_role", {{"n", whole(sync.outside_role)}})});
  }
}

void network(Frame& frame) {
  const SyncSummary& sync = frame.session.sync;
  if (sync.link != Link::never_paired) {
    const std::string oldest =
        tr("sync.since", {{"when", when_text(sync.unsent_since_ms, frame.now_ms())}});
    big_number(frame.ui, whole(sync.unsent), sync.unsent > 0 ? oldest : tr("sync.all_sent"));
  }
  paragraph(frame.ui, link_text(frame));
  if (sync.not_backed_up > 0) {
    small_print(frame.ui, tr("sync.not_backed_up", {{"n", whole(sync.not_backed_up)}}));
  }
  if (sync.set_aside > 0) {
    notice(frame.ui, {.id = "set_aside", .tone = Tone::caution,
                      .text = tr("sync.set_aside", {{"n", whole(sync.set_aside)}})});
  }
  standing_of_records(frame);
  // Hours are told at the head of every screen.
  if (sync.clock_off_minutes != 0 && std::abs(sync.clock_off_minutes) < 60) {
    notice(frame.ui, {.id = "clock", .tone = Tone::caution,
                      .text = tr("sync.clock", {{"n", whole(sync.clock_off_minutes)}})});
  }
  clocks_ahead(frame);
  const bool can_join = sync.link == Link::never_paired || sync.link == Link::refused;
  if (can_join) menu_row(frame, "join", tr("sync.join"), ScreenId::join_farm, Glyph::phone);
}

void storage(Frame& frame) {
  const StorageSummary& store = frame.session.storage;
  heading(frame.ui, tr("sync.storage"));
  if (store.known) {
    paragraph(frame.ui, store.persisted ? tr("sync.persisted") : tr("sync.not_persisted"));
  }
  if (store.asked && !store.persisted) {
    notice(frame.ui, {.id = "no_promise", .tone = Tone::caution, .text = tr("sync.no_promise")});
  } else if (store.known && !store.persisted &&
      button(frame.ui, {.id = "ask", .label = tr("sync.ask"), .kind = Kind::quiet})) {
    frame.want(AskPersistence{});
  }
  if (store.brought_back > 0) {
    paragraph(frame.ui, tr("sync.brought_back", {{"value", whole(store.brought_back)}}));
  }
  if (store.known && !store.second_copy) paragraph(frame.ui, tr("sync.one_copy"));
  install(frame);
  if (store.usage_bytes >= 0) {
    small_print(frame.ui, tr("sync.used", {{"n", number(store.usage_bytes / 1e6, 1)}}));
  }
  menu_row(frame, "hand_over", ScreenId::hand_over);
  menu_row(frame, "receive", ScreenId::receive);
  menu_row(frame, "share", tr("share.title"), ScreenId::share, Glyph::share);
}

void update(Frame& frame) {
  if (frame.session.update_version.empty()) return;
  heading(frame.ui, tr("sync.update"));
  const Drafts& drafts = frame.session.drafts;
  const bool counting = (drafts.count && !drafts.count->empty()) ||
                        (drafts.buds && !drafts.buds->empty());
  if (counting) {
    paragraph(frame.ui, tr("sync.update_wait"));
  } else if (button(frame.ui, {.id = "update", .label = tr("sync.update_go"),
                               .kind = Kind::quiet})) {
    frame.want(ApplyUpdate{});
  }
}

}  // namespace

void draw_sync_page(Frame& frame) {
  std::vector<widgets::Action> actions;
  if (frame.session.sync.link != Link::never_paired) {
    actions.push_back({.id = "now", .label = tr("sync.now"),
                       .enabled = frame.session.sync.link != Link::trying});
  }
  open(frame, {.key = "sync", .title = tr("sync.title"), .actions = actions});
  network(frame);
  update(frame);
  storage(frame);
  if (frame.bar.action == "now") frame.want(SyncNow{});
  finish(frame);
}

}  // namespace nthtree::screens
