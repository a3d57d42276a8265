// SPDX-License-Identifier: Apache-2.0
// What to say to a pruner, ready to be said aloud, and the record that it was said.
#include <cmath>

#include "orchard/limits.h"
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr int told_spurs_max = static_cast<int>(orchard::limits::spurs_per_tree.high);

// What is proposed: against the target where the verdict tells, else against the others in the
// block where that tells; else as the verdict leans.
struct Proposal {
  int direction = 2;
  int spurs = 1;
  bool against_crew = false;
};

int leaning(const advice::Verdict& verdict) {
  if (verdict.kind == advice::VerdictKind::harder || verdict.leans_harder) return 0;
  if (verdict.kind == advice::VerdictKind::lighter || verdict.leans_lighter) return 1;
  return 2;
}

int as_told(double spurs) { return std::max(1, static_cast<int>(as_said(spurs))); }

Proposal proposal_of(const advice::Verdict& verdict, const advice::Standing& standing,
                     const advice::AgainstCrew* crew) {
  if (verdict.kind == advice::VerdictKind::count_more && crew && crew->tells_with(standing)) {
    return {crew->kind == advice::AgainstCrewKind::more ? 0 : 1,
            as_told(crew->spurs_per_tree.value), true};
  }
  return {leaning(verdict), as_told(verdict.spurs_per_tree.value), false};
}

int choose_spurs(Scene& scene, const Form& form, const std::string& key, int proposed) {
  const int spurs = std::atoi(form.standing(key + "/by", std::to_string(proposed)).c_str());
  const int step = spurs >= 20 ? 5 : 1;
  if (const int steps = stepper(scene.ui, {.id = "by",
                                           .label = tr("advice.by"),
                                           .value = static_cast<double>(spurs),
                                           .minimum = 1,
                                           .maximum = told_spurs_max,
                                           .step = static_cast<double>(step)})) {
    const int next = std::min(told_spurs_max, std::max(1, spurs + step * steps));
    scene.want(SetField{key + "/by", std::to_string(next)});
  }
  return spurs;
}

}  // namespace

void draw_give_advice(Scene& scene) {
  const std::string person = scene.person_id();
  const std::string name = person_text(scene.season, person);
  open(scene, {.key = "advice",
               .title = tr("advice.title", {{"name", name}}),
               .actions = {{.id = "told", .label = tr("advice.told", {{"name", name}})}}});
  const advice::Verdict& verdict =
      scene.reckoning.verdict(scene.season, scene.block_id(), person, scene.now_ms());
  const Proposal proposal = proposal_of(
      verdict, scene.reckoning.standing(scene.season, scene.block_id(), person, scene.now_ms()),
      against_crew_of(scene, person));
  Form form(scene);
  const std::string key = "advice/" + person;
  int direction = 0, spurs = 0;
  std::string note;
  const auto choose = [&] {
    direction = form.list(
        key + "/direction", tr("advice.direction"),
        {tr("advice.kind.harder"), tr("advice.kind.lighter"), tr("advice.kind.on_target")},
        proposal.direction);
    if (direction != 2) spurs = choose_spurs(scene, form, key, proposal.spurs);
  };
  const auto say = [&] {
    heading(scene.ui, tr("advice.say"));
    scene.ui.open_card();
    strong_line(scene.ui, direction_text(static_cast<ledger::Direction>(direction), spurs, name));
    const bool as_proposed = direction == proposal.direction && spurs == proposal.spurs;
    if (proposal.against_crew && as_proposed) {
      paragraph(scene.ui, tr("advice.against_crew"));
    } else if (direction != 2 && verdict.hands.unit != advice::HandUnit::none && as_proposed) {
      paragraph(scene.ui,
                tr("verdict.hands", {{"hands", hands_text(verdict.hands, direction == 0)}}));
    }
    scene.ui.close_card(scene.ui.theme().card);
    note = form.text({.id = key + "/note", .label = tr("advice.remark"), .letters_max = 120,
                      .bytes_max = ledger::remark_bytes_max, .optional = true});
    small_print(scene.ui, tr("advice.note"));
  };
  side_by_side(scene, choose, say);
  if (scene.bar.action == "told" && !form.ok()) form.show_wrong();
  if (scene.bar.action == "told" && form.ok()) {
    SaveRecords save;
    save.bodies = {ledger::Advice{scene.block_id(), person,
                                  static_cast<ledger::Direction>(direction), spurs, note}};
    save.from = SaveRecords::From::fields;
    scene.want(save);
  }
  finish(scene);
}

}  // namespace nthtree::screens
