// SPDX-License-Identifier: Apache-2.0
// The lead's first screen: who needs them first, as a picture against the band, and the day's jobs.
#include "ledger/live.h"
#include "screens/each_screen.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

// All in one picture on one scale, in the order of need; what to do about each stands below.
void picture(Scene& scene, const std::vector<advice::CrewRow>& crew) {
  widgets::BandChart chart;
  chart.id = "crew";
  for (const advice::CrewRow& row : crew) {
    if (!row.standing.has_target) continue;
    band_of(row.standing, tolerance_of(scene), chart);
    chart.rows.push_back(
        band_row(person_text(scene.season, row.person), row.standing, row.verdict));
    if (row.crew.tells()) chart.rows.back().value += " " + signed_percent(row.crew.fraction.value);
  }
  if (chart.rows.empty()) return;
  const advice::Standing& all =
      scene.reckoning.standings(scene.season, scene.block_id(), scene.now_ms()).crew;
  if (chart.rows.size() > advice::others_least) {
    chart.crew = all.spurs_per_tree.value;
    chart.band_text = tr("lead.band_and_crew",
                         {{"band", chart.band_text}, {"n", whole(chart.crew)}});
  }
  chart.label = tr("lead.picture", {{"low", whole(chart.band_low)},
                                    {"high", whole(chart.band_high)}});
  if (chart.crew > 0) chart.label += ". " + chart.band_text;  // heard as well as seen
  band_chart(scene.ui, chart);
}

// The first thing to see to, and what speaks against the numbers themselves.
std::string why_text(const advice::CrewRow& row) {
  std::string text = reason_text(row.why);
  const std::string signs = signs_text(row.counter);
  if (!signs.empty()) text += " " + signs;
  return text;
}

void crew_part(Scene& scene) {
  heading(scene.ui, tr("lead.crew"));
  const auto& crew = scene.reckoning.crew(scene.season, scene.block_id(), scene.now_ms());
  if (crew.empty()) {
    empty_state(scene.ui, {.id = "no_crew", .glyph = Glyph::person, .title = tr("lead.crew"),
                           .text = tr("lead.crew_empty")});
    return;
  }
  picture(scene, crew);
  int position = 0;
  for (const advice::CrewRow& row : crew) {
    if (choice_row(scene.ui, {.id = "person/" + row.person,
                              .label = person_text(scene.season, row.person),
                              .detail = why_text(row),
                              .trailing = verdict_line(row.verdict),
                              .position = ++position,
                              .set_size = static_cast<int>(crew.size())})) {
      scene.go(ScreenId::standing, scene.block_id(), row.person);
    }
  }
}

// What a desk has at its side (parts/places.h).
void places_part(Scene& scene) {
  menu_row(scene, "rows", tr("rows.page"), ScreenId::rows, Glyph::check);
  menu_row(scene, "word", tr("word.title"), ScreenId::morning_word, Glyph::note);
  menu_row(scene, "going_back", tr("back.title"), ScreenId::going_back, Glyph::undo);
  menu_row(scene, "buds", tr("lead.buds"), ScreenId::buds, Glyph::bud);
  menu_row(scene, "before", tr("lead.before"), ScreenId::before_counts, Glyph::tree);
  menu_row(scene, "brief", tr("home.brief"), ScreenId::brief, Glyph::note);
  menu_row(scene, "agreement", tr("lead.agreement"), ScreenId::agreement, Glyph::level);
  menu_row(scene, "exercise", tr("exercise.title"), ScreenId::exercise, Glyph::person);
  if (choice_row(scene.ui, {.id = "review", .label = tr("lead.review"), .glyph = Glyph::check})) {
    scene.want(SetDay{0});
    scene.go(ScreenId::review);
  }
  menu_row(scene, "map", tr("manager.map"), ScreenId::block_map, Glyph::menu);
  menu_row(scene, "second_pass", tr("manager.second_pass"), ScreenId::second_pass, Glyph::bud);
}

void jobs_part(Scene& scene) {
  heading(scene.ui, tr("home.menu"));
  block_line(scene);
  if (choice_row(scene.ui, {.id = "count_own", .label = tr("home.count"), .glyph = Glyph::plus})) {
    const advice::NextTree& next = next_tree_of(scene, scene.session.person);
    scene.want(OpenCount{CountPurpose::tag, scene.block_id(),
                         next.tree.row > 0 ? next.tree : orchard::TreeAddress{1, 1}});
  }
  if (!scene.ui.desk()) places_part(scene);
  menu_row(scene, "my_day", tr("home.my_day"), ScreenId::my_day, Glyph::note);
  menu_row(scene, "farm", tr("manager.farm"), ScreenId::set_up, Glyph::tree);
  menu_row(scene, "hand_over", tr("hand.title"), ScreenId::hand_over, Glyph::phone);
  last_menu_rows(scene);
}

void progress_part(Scene& scene) {
  const ledger::BlockSeason* block = scene.block();
  if (!block) return;
  int now = -1;
  for (const auto& entry : ledger::live(block->progress)) {
    now = static_cast<int>(entry.body.step);
  }
  std::vector<widgets::ChoiceRow> rows;
  for (int i = 0; i < 4; ++i) {
    rows.push_back({.id = "step/" + std::to_string(i),
                    .label = step_text(static_cast<ledger::BlockStep>(i))});
  }
  const int chosen = radio_list(scene.ui, {.id = "progress", .label = tr("lead.progress"),
                                           .items = rows, .selected = now});
  if (chosen != now && chosen >= 0) {
    SaveRecords save;
    save.bodies = {ledger::BlockProgress{scene.block_id(), static_cast<ledger::BlockStep>(chosen)}};
    scene.want(save);
  }
}

}  // namespace

void draw_lead_home(Scene& scene) {
  const auto& worklist = scene.reckoning.worklist(scene.season, scene.block_id(), scene.now_ms());
  const std::string recount =
      worklist.empty() ? tr("lead.recount")
                       : tr("lead.recount_n", {{"n", whole(static_cast<double>(worklist.size()))}});
  open(scene, {.key = "lead", .title = block_text(scene.season, scene.block_id()),
               .actions = {{.id = "recount", .label = recount}}, .back = false, .full = true});
  unfinished(scene);
  clocks_ahead(scene);
  if (scene.ui.wide()) {
    scene.ui.row({scene.ui.desk() ? 2.0f : 1.0f, 1}, [&] { crew_part(scene); },
                 [&] {
                   jobs_part(scene);
                   progress_part(scene);
                 });
  } else {
    crew_part(scene);
    jobs_part(scene);
    progress_part(scene);
  }
  if (scene.bar.action == "recount") scene.go(ScreenId::worklist);
  finish(scene);
}

}  // namespace nthtree::screens
