// SPDX-License-Identifier: Apache-2.0
// The camera on a printed tag, and the tree that it opens: what was counted there, and what to
// count next.
#include "screens/between_phones/camera.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using orchard::Role;

template <typename T>
const ledger::Entry<T>* last_of(const ledger::Entries<T>& entries, orchard::TreeAddress tree) {
  for (const auto& entry : ledger::current_newest_first(entries)) {
    if (entry.body.tree == tree) return &entry;
  }
  return nullptr;
}

template <typename T, typename Number>
void count_fact(Frame& frame, const ledger::Entries<T>& entries, const char* key, Number&& of) {
  const auto* entry = last_of(entries, frame.session.here().tree);
  if (!entry) return;
  fact(frame.ui, tr(key) + ", " + time_text(frame.season, entry->at_ms()), whole(of(entry->body)));
}

// The tag's own number stays hidden until the tree was re-counted: blind is blind.
bool may_see_tag(const Frame& frame, const ledger::BlockSeason& block) {
  const orchard::TreeAddress tree = frame.session.here().tree;
  const auto* tag = last_of(block.tag_counts, tree);
  return tag && (tag->author == frame.session.person || check_of(block, tree));
}

bool may_see_part(const Frame& frame, const ledger::BlockSeason& block) {
  const orchard::TreeAddress tree = frame.session.here().tree;
  const auto* part = last_of(block.part_counts, tree);
  return part && (part->author == frame.session.person || last_of(block.part_checks, tree));
}

void counted_here(Frame& frame, const ledger::BlockSeason& block) {
  const auto spurs = [](const auto& body) { return body.spurs; };
  count_fact(frame, block.before_counts, "count.title.before", spurs);
  const auto of_limbs = [](const auto& body) { return body.counted.on_tree(); };
  if (may_see_tag(frame, block)) count_fact(frame, block.tag_counts, "count.title.tag", spurs);
  if (may_see_part(frame, block)) count_fact(frame, block.part_counts, "part.title", of_limbs);
  count_fact(frame, block.check_counts, "count.title.check", spurs);
  count_fact(frame, block.part_checks, "count.title.check", of_limbs);
  count_fact(frame, block.cluster_counts, "count.title.clusters",
             [](const auto& body) { return body.floral_clusters; });
  count_fact(frame, block.part_clusters, "part.clusters", of_limbs);
  count_fact(frame, block.harvest_counts, "count.title.harvest",
             [](const auto& body) { return body.fruits; });
  count_fact(frame, block.return_bloom, "count.title.return_bloom",
             [](const auto& body) { return body.floral_spurs; });
}

void count_row(Frame& frame, const char* id, const std::string& label, CountPurpose purpose) {
  if (choice_row(frame.ui, {.id = id, .label = label, .glyph = Glyph::tree})) {
    frame.want(OpenCount{purpose, frame.block_id(), frame.session.here().tree});
  }
}

void to_count(Frame& frame, const ledger::BlockSeason& block) {
  const Role role = frame.me() ? frame.me()->role : Role::pruner;
  const orchard::TreeAddress tree = frame.session.here().tree;
  const bool is_tagged = last_of(block.tag_counts, tree) != nullptr;
  const bool is_part = !is_tagged && last_of(block.part_counts, tree) != nullptr;
  if (role == Role::pruner) count_row(frame, "tag", tr("tree.count"), CountPurpose::tag);
  if (role == Role::pruner) return;
  if (is_tagged) count_row(frame, "check", tr("lead.recount"), CountPurpose::check);
  if (is_part) count_row(frame, "check", tr("lead.recount"), CountPurpose::part_check);
  count_row(frame, "clusters", tr("second.count"), CountPurpose::clusters);
  count_row(frame, "part_clusters", tr("second.some_limbs"), CountPurpose::part_clusters);
  if (role != Role::manager) return;
  count_row(frame, "harvest", tr("harvest.count"), CountPurpose::harvest);
  count_row(frame, "return_bloom", tr("tree.return_bloom"), CountPurpose::return_bloom);
}

}  // namespace

void draw_scan_tag(Frame& frame) {
  const Camera& camera = frame.session.exchange.camera;
  std::vector<widgets::Action> actions;
  if (frame.session.can_scan) {
    actions.push_back({.id = "scan", .label = tr(camera.on ? "camera.stop" : "tree.scan")});
  }
  open(frame, {.key = "scan_tag", .title = tr("tree.scan"), .actions = actions});
  paragraph(frame.ui, tr("tree.scan_text"));
  camera_trouble(frame);
  camera_here(frame);
  if (!frame.session.can_scan) small_print(frame.ui, tr("camera.none"));
  if (frame.bar.action == "scan") {
    frame.want(camera.on ? Intent(StopScan{}) : Intent(StartScan{}));
  }
  finish(frame);
}

void draw_tree(Frame& frame) {
  open(frame, {.key = "tree", .title = tree_text(frame.session.here().tree)});
  save_state(frame);
  heading(frame.ui, block_text(frame.season, frame.block_id()));
  if (const ledger::BlockSeason* block = frame.block()) {
    counted_here(frame, *block);
    to_count(frame, *block);
  }
  finish(frame);
}

}  // namespace nthtree::screens
