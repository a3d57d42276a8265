// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/parts.h"

#include <cmath>

#include "ledger/written_ahead.h"
#include "orchard/plain_variety.h"
#include "screens/parts/destinations.h"
#include "screens/parts/entries.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {

void block_line(Frame& frame) {
  const orchard::Block* block = frame.settings();
  if (choice_row(frame.ui, {.id = "block",
                            .label = block_text(frame.season, frame.block_id()),
                            .detail = block ? block->variety : "",
                            .trailing = tr("change"),
                            .arrow = false,
                            .glyph = Glyph::tree})) {
    frame.go(ScreenId::choose_block);
  }
}

void verdict_here(Frame& frame, const std::string& id, const advice::Verdict& verdict, bool large,
                  bool live) {
  const bool fewer = verdict.kind == advice::VerdictKind::harder;
  const bool changes = fewer || verdict.kind == advice::VerdictKind::lighter;
  std::string unit = changes ? tr(fewer ? "verdict.unit.fewer" : "verdict.unit.more") : "";
  const std::string hands = changes ? hands_text(verdict.hands, fewer) : "";
  std::string detail = reason_text(verdict.reason);
  if (!hands.empty())
    detail += (detail.empty() ? "" : " ") + tr("verdict.hands", {{"hands", hands}});
  verdict_card(frame.ui, {.id = id,
                          .kind = verdict_sign(verdict.kind),
                          .word = verdict_word(verdict),
                          .figure = verdict_figure(verdict),
                          .unit = unit,
                          .detail = detail,
                          .large = large,
                          .live = live});
}

widgets::BandRow band_row(const std::string& name, const advice::Standing& standing,
                          const advice::Verdict& verdict) {
  widgets::BandRow row;
  row.name = name;
  row.low = standing.spurs_per_tree.low;
  row.middle = standing.spurs_per_tree.value;
  row.high = standing.spurs_per_tree.high;
  row.value = whole(row.middle);
  row.verdict = verdict_sign(verdict.kind);
  row.known = standing.counts + standing.counts_before > 0;
  return row;
}

void band_of(const advice::Standing& standing, double tolerance, widgets::BandChart& chart) {
  chart.target = standing.target.value;
  chart.band_low = chart.target * (1 - tolerance);
  chart.band_high = chart.target * (1 + tolerance);
  chart.band_text = range_text(chart.band_low, chart.band_high);
}

void save_state(Frame& frame) {
  const LastSave& save = frame.session.last_save;
  if (frame.session.practised) return pill(frame.ui, tr("saved.practice"), Tone::caution);
  if (frame.session.demo && save.state != SaveState::none) {
    return pill(frame.ui, tr("saved.demo"), Tone::caution);
  }
  switch (save.state) {
    case SaveState::none:
      return;
    case SaveState::writing:
      pill(frame.ui, tr("saved.writing"), Tone::plain);
      return;
    case SaveState::on_phone:
      pill(frame.ui, tr("saved.on_phone"), Tone::good);
      return;
    case SaveState::on_hub:
      pill(frame.ui, tr("saved.on_hub"), Tone::good);
      return;
    case SaveState::failed:
    case SaveState::refused:
      return;  // told at the head of every screen, see frame.cpp
  }
}

const advice::AgainstCrew* against_crew_of(Frame& frame, const std::string& person) {
  const auto& crew = frame.cache.crew(frame.season, frame.block_id(), frame.now_ms());
  for (const advice::CrewRow& row : crew) {
    if (row.person == person) return &row.crew;
  }
  return nullptr;
}

void install(Frame& frame) {
  const StorageSummary& store = frame.session.storage;
  if (!store.known || store.installed) return;
  paragraph(frame.ui, tr("sync.install"));
  if (store.install == "share") return small_print(frame.ui, tr("install.share"));
  if (store.install == "menu") return small_print(frame.ui, tr("install.menu"));
  if (store.install != "offer") return small_print(frame.ui, tr("install.none"));
  if (button(frame.ui, {.id = "install", .label = tr("install.go"), .kind = Kind::quiet})) {
    frame.want(Install{});
  }
}

void set_clock(const Frame& frame, ledger::FarmSettings& farm) {
  const auto zone = base::TimeZone::parse(frame.session.time_zone);
  if (!zone || !farm.time_zone.empty()) return;
  const int offset = zone->offset_minutes(frame.now_ms());
  const bool new_farm = !frame.season.has_farm();
  if (!new_farm && farm.utc_offset_minutes != 0 && farm.utc_offset_minutes != offset) return;
  farm.time_zone = frame.session.time_zone;
  farm.utc_offset_minutes = offset;  // all that older apps know of
}

const advice::NextTree& next_tree_of(Frame& frame, const std::string& person) {
  orchard::TreeAddress from{1, 1};
  if (const ledger::BlockSeason* block = frame.block()) {
    if (const orchard::TreeAddress tree = last_tree(*block, person); tree.row > 0) from = tree;
  }
  return frame.cache.next(frame.season, frame.block_id(), person, from, frame.now_ms());
}

int row_at_hand_of(Frame& frame) {
  const ledger::BlockSeason* block = frame.block();
  if (!block) return 0;
  return advice::row_at_hand(frame.cache.rows(frame.season, block->id, frame.now_ms()), *block,
                             frame.session.person, frame.now_ms());
}

void lead_said(Frame& frame) {
  constexpr std::int64_t said_for_ms = 36LL * 3600 * 1000;
  const ledger::BlockSeason* block = frame.block();
  const auto* said = block ? last_advice(*block, frame.session.person) : nullptr;
  if (!said || said->at_ms() < frame.now_ms() - said_for_ms) return;
  const std::string words = told_text(said->body, person_text(frame.season, frame.session.person));
  notice(frame.ui, {.id = "said",
                    .title = tr("home.said", {{"name", person_text(frame.season, said->author)},
                                              {"when", when_text(said->at_ms(), frame.now_ms())}}),
                    .text = words});
}

int tally_pad(Frame& frame, const std::string& id, const std::string& label, int count) {
  const std::string value = whole(count);
  if (frame.ui.theme().look.text_scale > 1.2f) {
    return button(frame.ui, {.id = id, .label = labelled(label, value), .kind = Kind::quiet,
                             .height = 84});
  }
  return tap_pad(frame.ui, {.id = id, .label = label, .value = value, .leave = 1e5f,
                            .height_min = 120, .stretch = true, .at_once = false});
}

void menu_row(Frame& frame, const std::string& id, const std::string& label, ScreenId to,
              Glyph glyph, const std::string& trailing) {
  if (choice_row(frame.ui, {.id = id, .label = label, .trailing = trailing, .glyph = glyph})) {
    frame.go(to);
  }
}

void menu_row(Frame& frame, const std::string& id, ScreenId to, const std::string& trailing) {
  const NameAndGlyph called = name_and_glyph(to);
  menu_row(frame, id, called.name, to, called.glyph, trailing);
}

void last_menu_rows(Frame& frame) {
  menu_row(frame, "cautions", ScreenId::cautions);
  menu_row(frame, "help", ScreenId::help);
  menu_row(frame, "settings", ScreenId::settings);
}

const CountDraft* half_done_count(const Frame& frame) {
  const auto& draft = frame.session.drafts.count;
  return draft && !draft->empty() ? &*draft : nullptr;
}

void go_on_counting(Frame& frame) {
  if (const CountDraft* draft = half_done_count(frame)) {
    frame.want(Go{Stop{ScreenId::count, draft->block, {}, {}, {}}});
  }
}

void save_file_row(Frame& frame) {
  if (choice_row(frame.ui, {.id = "file", .label = tr("hand.file"), .detail = tr("hand.file_hint"),
                            .arrow = false, .glyph = Glyph::down})) {
    frame.want(HandOver{false});
  }
}

void clocks_ahead(Frame& frame) {
  constexpr std::size_t phones_most = 2;  // of more, it is this phone's clock that is behind
  const auto phones = ledger::written_ahead(frame.season, frame.now_ms());
  if (phones.size() > phones_most) return;
  for (const auto& phone : phones) {
    notice(frame.ui, {.id = "ahead/" + phone.device.text(), .tone = Tone::caution,
                      .text = tr_count("sync.ahead", phone.days_past(frame.now_ms()),
                                       {{"who", person_text(frame.season, phone.author)},
                                        {"phone", phone.device.text().substr(0, 6)}})});
  }
}

void unfinished(Frame& frame, Resume where) {
  const CountDraft* draft = half_done_count(frame);
  if (draft &&
      notice(frame.ui, {.id = "resume",
                        .tone = Tone::caution,
                        .text = tr("home.resume_text", {{"tree", tree_text(draft->tree)},
                                                        {"n", whole(draft->spurs())}}),
                        .action = where == Resume::in_bar ? "" : tr("home.resume")})) {
    go_on_counting(frame);
  }
  const auto& buds = frame.session.drafts.buds;
  if (buds && !buds->empty() &&
      notice(frame.ui, {.id = "resume_buds",
                        .tone = Tone::caution,
                        .title = tr("lead.buds"),
                        .text = tree_text(buds->tree),
                        .action = tr("home.resume")})) {
    frame.want(Go{Stop{ScreenId::buds, buds->block, {}, {}, {}}});
  }
}

const advice::MinutesPlan& plan_here(Frame& frame) {
  return frame.cache.plan(frame.season, frame.block_id(), advice::minutes_wish(frame.season),
                          frame.now_ms());
}

std::string plan_sentence(const advice::MinutesPlan& plan) {
  if (plan.trees == 0) return "";
  const widgets::Arguments words = {
      {"trees", whole(plan.trees)}, {"limbs", whole(plan.limbs)}, {"looks", whole(plan.looks)},
      {"times", number(plan.gain, 1)}};
  std::string text = plan.limbs == 0  ? tr("plan.whole", words)
                     : plan.looks > 0 ? tr("plan.limbs_looks", words)
                                      : tr("plan.limbs", words);
  if (plan.walk_looks > 0) text += " " + tr("plan.walk", {{"n", whole(plan.walk_looks)}});
  if (plan.over_budget) text += " " + tr("plan.over", {{"n", whole(std::ceil(plan.minutes))}});
  text += " " + (plan.days > 0 ? tr_count("plan.days", plan.days) : tr("plan.no_days"));
  return text;
}

double tolerance_of(const Frame& frame) {
  const orchard::Block* block = frame.settings();
  return block ? block->tolerance_fraction : orchard::Block{}.tolerance_fraction;
}

orchard::Variety variety_of(const Frame& frame, const orchard::Block& block) {
  const auto known =
      orchard::with_changes(frame.session.varieties, frame.season.variety_changes());
  const orchard::Variety* found = orchard::find_variety(known, block.variety);
  return found ? *found : orchard::plain_variety(block.variety);
}

}  // namespace nthtree::screens
