// SPDX-License-Identifier: Apache-2.0
// The lead's first screen: who needs them first, as a picture against the band, and the day's jobs.
#include "ledger/current.h"
#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

// All in one picture on one scale, in the order of need; what to do about each stands below.
void picture(Frame& frame, const std::vector<advice::CrewRow>& crew) {
  widgets::BandChart chart;
  chart.id = "crew";
  for (const advice::CrewRow& row : crew) {
    if (!row.standing.has_target) continue;
    band_of(row.standing, tolerance_of(frame), chart);
    chart.rows.push_back(
        band_row(person_text(frame.season, row.person), row.standing, row.verdict));
    if (row.crew.tells()) chart.rows.back().value += " " + signed_percent(row.crew.fraction.value);
  }
  if (chart.rows.empty()) return;
  const advice::Standing& all =
      frame.cache.standings(frame.season, frame.block_id(), frame.now_ms()).crew;
  if (chart.rows.size() > advice::others_least) {
    chart.crew = all.spurs_per_tree.value;
    chart.band_text = tr("lead.band_and_crew",
                         {{"band", chart.band_text}, {"n", whole(chart.crew)}});
  }
  chart.label = tr("lead.picture", {{"low", whole(chart.band_low)},
                                    {"high", whole(chart.band_high)}});
  if (chart.crew > 0) chart.label += ". " + chart.band_text;  // heard as well as seen
  band_chart(frame.ui, chart);
}

// The first thing to see to, and what speaks against the numbers themselves.
std::string why_text(const advice::CrewRow& row) {
  std::string text = reason_text(row.why);
  const std::string signs = signs_text(row.counter);
  if (!signs.empty()) text += " " + signs;
  return text;
}

void crew_part(Frame& frame) {
  heading(frame.ui, tr("lead.crew"));
  const auto& crew = frame.cache.crew(frame.season, frame.block_id(), frame.now_ms());
  if (crew.empty()) {
    empty_state(frame.ui, {.id = "no_crew", .glyph = Glyph::person, .title = tr("lead.crew"),
                           .text = tr("lead.crew_empty")});
    return;
  }
  picture(frame, crew);
  int position = 0;
  for (const advice::CrewRow& row : crew) {
    if (choice_row(frame.ui, {.id = "person/" + row.person,
                              .label = person_text(frame.season, row.person),
                              .detail = why_text(row),
                              .trailing = verdict_line(row.verdict),
                              .position = ++position,
                              .set_size = static_cast<int>(crew.size())})) {
      frame.go(ScreenId::standing, frame.block_id(), row.person);
    }
  }
}

// What a desk has at its side (parts/destinations.h).
void places_part(Frame& frame) {
  menu_row(frame, "rows", ScreenId::rows);
  menu_row(frame, "word", ScreenId::morning_word);
  menu_row(frame, "going_back", ScreenId::going_back);
  menu_row(frame, "buds", ScreenId::buds);
  menu_row(frame, "before", ScreenId::before_counts);
  menu_row(frame, "brief", ScreenId::brief);
  menu_row(frame, "agreement", ScreenId::agreement);
  menu_row(frame, "exercise", ScreenId::exercise);
  if (choice_row(frame.ui, {.id = "review", .label = tr("lead.review"), .glyph = Glyph::check})) {
    frame.want(SetDay{0});
    frame.go(ScreenId::review);
  }
  menu_row(frame, "map", ScreenId::block_map);
  menu_row(frame, "second_pass", ScreenId::second_pass);
  menu_row(frame, "when", ScreenId::when_to_prune);
  menu_row(frame, "papers", ScreenId::papers);
  menu_row(frame, "scan_tag", ScreenId::scan_tag);
  menu_row(frame, "frost", ScreenId::frost);
}

void jobs_part(Frame& frame) {
  heading(frame.ui, tr("home.menu"));
  block_line(frame);
  if (choice_row(frame.ui, {.id = "count_own", .label = tr("home.count"), .glyph = Glyph::plus})) {
    const advice::NextTree& next = next_tree_of(frame, frame.session.person);
    frame.want(OpenCount{CountPurpose::tag, frame.block_id(),
                         next.tree.row > 0 ? next.tree : orchard::TreeAddress{1, 1}});
  }
  menu_row(frame, "walk", ScreenId::walk);
  if (!frame.ui.desk()) places_part(frame);
  menu_row(frame, "my_day", ScreenId::my_day);
  menu_row(frame, "farm", ScreenId::set_up);
  menu_row(frame, "hand_over", ScreenId::hand_over);
  last_menu_rows(frame);
}

void progress_part(Frame& frame) {
  const ledger::BlockSeason* block = frame.block();
  if (!block) return;
  int now = -1;
  for (const auto& entry : ledger::current(block->progress)) {
    now = static_cast<int>(entry.body.step);
  }
  std::vector<widgets::ChoiceRow> rows;
  for (int i = 0; i < 4; ++i) {
    rows.push_back({.id = "step/" + std::to_string(i),
                    .label = step_text(static_cast<ledger::BlockStep>(i))});
  }
  const int chosen = radio_list(frame.ui, {.id = "progress", .label = tr("lead.progress"),
                                           .items = rows, .selected = now});
  if (chosen != now && chosen >= 0) {
    SaveRecords save;
    save.bodies = {ledger::BlockProgress{frame.block_id(), static_cast<ledger::BlockStep>(chosen)}};
    frame.want(save);
  }
}

}  // namespace

void draw_lead_home(Frame& frame) {
  const auto& worklist = frame.cache.worklist(frame.season, frame.block_id(), frame.now_ms());
  const std::string recount =
      worklist.empty() ? tr("lead.recount")
                       : tr("lead.recount_n", {{"n", whole(static_cast<double>(worklist.size()))}});
  open(frame, {.key = "lead", .title = block_text(frame.season, frame.block_id()),
               .actions = {{.id = "recount", .label = recount}}, .back = false, .full = true});
  unfinished(frame);
  clocks_ahead(frame);
  if (frame.ui.wide()) {
    frame.ui.row({frame.ui.desk() ? 2.0f : 1.0f, 1}, [&] { crew_part(frame); },
                 [&] {
                   jobs_part(frame);
                   progress_part(frame);
                 });
  } else {
    crew_part(frame);
    jobs_part(frame);
    progress_part(frame);
  }
  if (frame.bar.action == "recount") frame.go(ScreenId::worklist);
  finish(frame);
}

}  // namespace nthtree::screens
