// SPDX-License-Identifier: Apache-2.0
#include "screens/navigation.h"

#include <algorithm>

namespace nthtree::screens {
namespace {

Stop only(ScreenId screen) { return {screen, {}, {}, {}, {}}; }

bool tells_of_count(ScreenId screen) {
  return screen == ScreenId::verdict || screen == ScreenId::part_told;
}

bool looks_through_camera(ScreenId screen) {
  return screen == ScreenId::receive || screen == ScreenId::join_farm;
}

void leave_screen(Session& session) {
  const auto told = [](const Stop& stop) { return tells_of_count(stop.screen); };
  if (std::none_of(session.stack.begin(), session.stack.end(), told)) session.practised.reset();
  if (!looks_through_camera(session.here().screen)) session.exchange.camera.on = false;
  if (session.last_save.state == SaveState::refused) session.last_save = {};
  session.asking.clear();
  session.fields_tried = false;
  session.filter.clear();
  session.reason_open = false;
}

// What was saved is told where it was saved; a save that failed is told everywhere.
void forget_save(Session& session) {
  SaveState& state = session.last_save.state;
  if (state == SaveState::on_phone || state == SaveState::on_hub) state = SaveState::none;
}

}  // namespace

void go_to(Session& session, const Stop& to) {
  forget_save(session);
  if (!(session.here() == to)) session.stack.push_back(to);
  leave_screen(session);
}

void go_instead(Session& session, const Stop& to) {
  session.stack.back() = to;
  leave_screen(session);
}

void go_home(Session& session) {
  session.stack = {only(ScreenId::home)};
  leave_screen(session);
}

void go_back(Session& session) {
  if (!session.asking.empty()) {
    session.asking.clear();
    return;
  }
  if (session.stack.size() > 1) session.stack.pop_back();
  leave_screen(session);
}

std::vector<Stop> first_stack(const ledger::Season& season, const Session& session) {
  if (!season.has_farm() && season.people().empty()) return {only(ScreenId::welcome)};
  const orchard::Person* person = season.person(session.person);
  if (!person) return {only(ScreenId::who)};
  if (session.reading) return {only(ScreenId::opening)};
  const bool needs_block = person->role != orchard::Role::manager;
  if (needs_block && !season.block(session.block)) return {only(ScreenId::choose_block)};
  std::vector<Stop> stack = {only(ScreenId::home)};
  const auto& draft = session.drafts.count;
  if (draft && !draft->empty())
    stack.push_back({ScreenId::count, draft->block, {}, {}, {}});
  else if (session.drafts.buds)
    stack.push_back({ScreenId::buds, session.drafts.buds->block, {}, {}, {}});
  return stack;
}

void begin_anew(Session& session, const ledger::Season& season) {
  session.stack = first_stack(season, session);
  leave_screen(session);
}

void hold_phone(Session& session, const ledger::Season& season, const std::string& person) {
  if (person != session.person) {
    session.parked[session.person] = session.drafts;
    session.drafts = session.parked[person];
    session.parked.erase(person);
    session.person = person;
    const auto spoken = session.languages.find(person);
    if (spoken != session.languages.end()) session.preferences.language = spoken->second;
  }
  session.fields.clear();
  begin_anew(session, season);
}

void lock_up(Session& session, const ledger::Season& season) {
  const std::string person = session.person;
  hold_phone(session, season, "");
  go_to(session, {ScreenId::unlock, {}, person, {}, {}});
}

Stop stop_after(const CountDraft& draft) {
  switch (draft.purpose) {
    case CountPurpose::before:
      return {ScreenId::before_counts, draft.block, {}, {}, {}};
    case CountPurpose::clusters:
    case CountPurpose::part_clusters:
      return {ScreenId::second_pass, draft.block, {}, {}, {}};
    case CountPurpose::harvest:
      return {ScreenId::harvest, draft.block, {}, {}, {}};
    case CountPurpose::return_bloom:
      return {ScreenId::return_bloom, draft.block, {}, {}, {}};
    case CountPurpose::exercise:
      return {ScreenId::exercise, draft.block, {}, {}, {}};
    case CountPurpose::part:
    case CountPurpose::part_check:
      return {ScreenId::part_told, draft.block, {}, draft.tree, {}};
    default:
      return {ScreenId::verdict, draft.block, {}, draft.tree, {}};
  }
}

void leave_count(Session& session, const CountDraft& ended) {
  const Stop next = stop_after(ended);
  // Counting was begun on the very screen that it leads back to, which may not have named its
  // block: on the stack twice, it would take two steps back to leave it.
  const std::size_t depth = session.stack.size();
  if (depth > 1 && session.stack[depth - 2].screen == next.screen) session.stack.pop_back();
  go_instead(session, next);
}

void leave_form(Session& session, const ledger::Body& kept) {
  std::vector<Stop>& stack = session.stack;
  const auto back = [&] {
    if (stack.size() > 1) stack.pop_back();
  };
  back();
  if (session.here().screen == ScreenId::verdict) {
    if (std::holds_alternative<ledger::Withdrawal>(kept)) back();
    if (const auto* tag = std::get_if<ledger::TagCount>(&kept)) stack.back().tree = tag->tree;
    if (const auto* check = std::get_if<ledger::CheckCount>(&kept)) {
      stack.back().tree = check->tree;
    }
  }
  leave_screen(session);
}

void meet_farm(Session& session, const ledger::Season& season) {
  const ScreenId here = session.here().screen;
  const bool told =
      here == ScreenId::receive && session.stack.front().screen == ScreenId::welcome;
  if (!told && here != ScreenId::welcome && here != ScreenId::join_farm) return;
  if (!season.has_farm() && season.people().empty()) return;
  session.fields.clear();
  begin_anew(session, season);
  if (told) session.stack.push_back(only(ScreenId::receive));
}

}  // namespace nthtree::screens
