// SPDX-License-Identifier: Apache-2.0
// What to say to a pruner, ready to be said aloud, and the record that it was said.
#include <cmath>

#include "orchard/limits.h"
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
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
            as_told(crew->spurs_per_tree_over_crew.value), true};
  }
  return {leaning(verdict), as_told(verdict.over_target.value), false};
}

int choose_spurs(Frame& frame, const Form& form, const std::string& key, int proposed) {
  const int spurs = std::atoi(form.standing(key + "/by", std::to_string(proposed)).c_str());
  const int step = spurs >= 20 ? 5 : 1;
  if (const int steps = stepper(frame.ui, {.id = "by",
                                           .label = tr("advice.by"),
                                           .value = static_cast<double>(spurs),
                                           .minimum = 1,
                                           .maximum = told_spurs_max,
                                           .step = static_cast<double>(step)})) {
    const int next = std::min(told_spurs_max, std::max(1, spurs + step * steps));
    frame.want(SetField{key + "/by", std::to_string(next)});
  }
  return spurs;
}

}  // namespace

void draw_give_advice(Frame& frame) {
  const std::string person = frame.person_id();
  const std::string name = person_text(frame.season, person);
  open(frame, {.key = "advice",
               .title = tr("advice.title", {{"name", name}}),
               .actions = {{.id = "told", .label = tr("advice.told", {{"name", name}})}}});
  const advice::Verdict& verdict =
      frame.cache.verdict(frame.season, frame.block_id(), person, frame.now_ms());
  const Proposal proposal = proposal_of(
      verdict, frame.cache.standing(frame.season, frame.block_id(), person, frame.now_ms()),
      against_crew_of(frame, person));
  Form form(frame);
  const std::string key = "advice/" + person;
  int direction = 0, spurs = 0;
  std::string note;
  const auto choose = [&] {
    direction = form.list(
        key + "/direction", tr("advice.direction"),
        {tr("advice.kind.harder"), tr("advice.kind.lighter"), tr("advice.kind.on_target")},
        proposal.direction);
    if (direction != 2) spurs = choose_spurs(frame, form, key, proposal.spurs);
  };
  const auto say = [&] {
    heading(frame.ui, tr("advice.say"));
    frame.ui.open_card();
    strong_line(frame.ui, direction_text(static_cast<ledger::Direction>(direction), spurs, name));
    const bool as_proposed = direction == proposal.direction && spurs == proposal.spurs;
    if (proposal.against_crew && as_proposed) {
      paragraph(frame.ui, tr("advice.against_crew"));
    } else if (direction != 2 && verdict.hands.unit != advice::HandUnit::none && as_proposed) {
      paragraph(frame.ui,
                tr("verdict.hands", {{"hands", hands_text(verdict.hands, direction == 0)}}));
    }
    frame.ui.close_card(frame.ui.theme().card);
    note = form.text({.id = key + "/note", .label = tr("advice.remark"), .letters_max = 120,
                      .bytes_max = ledger::remark_bytes_max, .optional = true});
    small_print(frame.ui, tr("advice.note"));
  };
  side_by_side(frame, choose, say);
  if (frame.bar.action == "told" && !form.ok()) form.show_wrong();
  if (frame.bar.action == "told" && form.ok()) {
    SaveRecords save;
    save.bodies = {ledger::Advice{frame.block_id(), person,
                                  static_cast<ledger::Direction>(direction), spurs, note}};
    save.from = SaveRecords::From::fields;
    frame.want(save);
  }
  finish(frame);
}

}  // namespace nthtree::screens
