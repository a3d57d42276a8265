// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/destinations.h"

#include <algorithm>
#include <iterator>

#include "base/result.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

struct DestinationKind {
  const char* id;
  const char* key;
  ScreenId screen;
  Glyph glyph;
  bool manager, lead;
  bool of_block;  // nothing to see before a block is chosen
};

constexpr DestinationKind kinds[] = {
    {"place/home", "manager.blocks", ScreenId::home, Glyph::tree, true, false, false},
    {"place/crew", "lead.crew", ScreenId::home, Glyph::person, false, true, false},
    {"place/review", "manager.review", ScreenId::review, Glyph::note, true, true, false},
    {"place/back", "back.title", ScreenId::going_back, Glyph::undo, true, true, false},
    {"place/tomorrow", "tomorrow.title", ScreenId::tomorrow, Glyph::forward, true, false, false},
    {"place/word", "word.title", ScreenId::morning_word, Glyph::note, true, true, false},
    {"place/when", "when.title", ScreenId::when_to_prune, Glyph::level, true, true, false},
    {"place/years", "years.title", ScreenId::years, Glyph::menu, true, false, false},
    {"place/papers", "papers.title", ScreenId::papers, Glyph::print, true, true, false},
    {"place/history", "manager.history", ScreenId::history, Glyph::undo, true, false, false},
    {"place/farm", "manager.farm", ScreenId::set_up, Glyph::person, true, false, false},
    {"place/share", "manager.share", ScreenId::share, Glyph::share, true, false, false},
    {"place/block", "block.title", ScreenId::choose_block, Glyph::tree, true, true, false},
    {"place/map", "manager.map", ScreenId::block_map, Glyph::menu, true, true, true},
    {"place/recount", "lead.recount", ScreenId::worklist, Glyph::check, false, true, true},
    {"place/rows", "rows.page", ScreenId::rows, Glyph::check, true, true, true},
    {"place/agreement", "lead.agreement", ScreenId::agreement, Glyph::level, false, true, true},
    {"place/exercise", "exercise.title", ScreenId::exercise, Glyph::person, false, true, true},
    {"place/buds", "lead.buds", ScreenId::buds, Glyph::bud, true, true, true},
    {"place/before", "lead.before", ScreenId::before_counts, Glyph::tree, false, true, true},
    {"place/brief", "home.brief", ScreenId::brief, Glyph::note, true, true, true},
    {"place/second", "manager.second_pass", ScreenId::second_pass, Glyph::bud, true, true, true},
    {"place/frost", "frost.title", ScreenId::frost, Glyph::bud, true, true, true},
    {"place/harvest", "manager.harvest", ScreenId::harvest, Glyph::tree, true, false, true},
    {"place/return", "manager.return_bloom", ScreenId::return_bloom, Glyph::bud, true, false, true},
    {"place/settings", "home.settings", ScreenId::settings, Glyph::gear, true, true, false},
    // Not at the side: a phone's menus alone lead there.
    {"", "home.my_day", ScreenId::my_day, Glyph::note, false, false, false},
    {"", "hand.title", ScreenId::hand_over, Glyph::phone, false, false, false},
    {"", "take.title", ScreenId::receive, Glyph::up, false, false, false},
    {"", "tree.scan", ScreenId::scan_tag, Glyph::tree, false, false, false},
    {"", "eye.walk", ScreenId::walk, Glyph::eye, false, false, false},
    {"", "home.cautions", ScreenId::cautions, Glyph::caution, false, false, false},
    {"", "home.help", ScreenId::help, Glyph::note, false, false, false},
};

bool would_interrupt(ScreenId screen) {
  constexpr ScreenId busy[] = {ScreenId::opening,  ScreenId::welcome,    ScreenId::join_farm,
                               ScreenId::who,      ScreenId::start_farm, ScreenId::count,
                               ScreenId::verdict,  ScreenId::part_told,  ScreenId::show_codes,
                               ScreenId::receive};
  return std::find(std::begin(busy), std::end(busy), screen) != std::end(busy);
}

}  // namespace

NameAndGlyph name_and_glyph(ScreenId screen) {
  const auto* kind = std::find_if(std::begin(kinds), std::end(kinds), [&](const auto& one) {
    return one.screen == screen;
  });
  NTHTREE_ASSERT(kind != std::end(kinds));
  return {tr(kind->key), kind->glyph};
}

std::vector<widgets::Destination> destinations_of(const Frame& frame) {
  const Session& session = frame.session;
  const orchard::Person* me = frame.me();
  if (!me || would_interrupt(session.here().screen)) return {};
  const bool has_block = frame.season.block(session.block) != nullptr;
  const ScreenId at = session.stack.size() > 1 ? session.stack[1].screen : ScreenId::home;
  std::vector<widgets::Destination> destinations;
  for (const DestinationKind& kind : kinds) {
    const bool mine = me->role == orchard::Role::manager ? kind.manager
                      : me->role == orchard::Role::lead  ? kind.lead
                                                         : false;
    if (!mine || (kind.of_block && !has_block)) continue;
    const bool chosen = kind.screen == ScreenId::choose_block && has_block;
    const std::string block = chosen ? block_text(frame.season, session.block) : "";
    destinations.push_back({kind.id,
                            chosen ? tr("home.place_block", {{"block", block}}) : tr(kind.key),
                            kind.glyph, kind.screen == at});
  }
  return destinations;
}

Stop destination_stop(std::string_view id) {
  for (const DestinationKind& kind : kinds) {
    if (id == kind.id) return {kind.screen, {}, {}, {}, {}};
  }
  return {ScreenId::home, {}, {}, {}, {}};
}

}  // namespace nthtree::screens
