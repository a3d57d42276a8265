// SPDX-License-Identifier: Apache-2.0
// What the screens ask for. The session's own changes are made by screens::apply; here is the rest.
#include <algorithm>
#include <utility>

#include "ledger/record.h"
#include "ledger/record_table.h"
#include "screens/parts/new_id.h"
#include "app/app.h"
#include "widgets/language.h"
#include "widgets/theme.h"

namespace nthtree::app {
namespace {

constexpr std::int64_t toast_ms = 4000;
constexpr std::int64_t join_patience_ms = 20000;

template <typename... Ts>
struct Overloaded : Ts... {
  using Ts::operator()...;
};
template <typename... Ts>
Overloaded(Ts...) -> Overloaded<Ts...>;

// What reaches the farm's own records; while the demo is looked at, none of it may.
bool touches_own_data(const screens::Intent& intent) {
  return std::holds_alternative<screens::Share>(intent) ||
         std::holds_alternative<screens::ImportFile>(intent) ||
         std::holds_alternative<screens::JoinFarm>(intent) ||
         std::holds_alternative<screens::StartFarm>(intent);
}

}  // namespace

void App::run_all(const screens::Intents& intents) {
  for (const screens::Intent& intent : intents) {
    screens::apply(session_, season(), intent);
    run(intent);
    if (session_.demo) continue;
    if (screens::touches_drafts(intent)) {
      drafts_dirty_.insert(session_.person);
      write_draft();
    }
    if (screens::touches_memory(intent)) write_memory();
  }
  if (!intents.empty()) follow_screen();
}

void App::run(const screens::Intent& intent) {
  if (session_.demo && touches_own_data(intent)) return toast("toast.demo", {}, true);
  std::visit(
      Overloaded{
          [&](const screens::SaveRecords& wish) {
            session_.demo ? save_in_demo(wish) : save(wish);
          },
          [&](const screens::TrySaveAgain&) { store_next_save(); },
          [&](const screens::SetPreferences&) { set_look(); },
          [&](const screens::JoinFarm& wish) { join(wish.code); },
          [&](const screens::StartFarm& wish) { start_farm(wish); },
          [&](const screens::LookAtDemo&) { look_at_demo(); },
          [&](const screens::LeaveDemo&) { leave_demo(); },
          [&](const screens::Share& wish) { share(wish); },
          [&](const screens::PrintReport& wish) { platform_.print_html(wish.html); },
          [&](const screens::ImportFile&) { platform_.pick_file(".txt,.json,.jsonl"); },
          [&](const screens::StartScan&) { platform_.start_scan(); },
          [&](const screens::StopScan&) { platform_.stop_scan(); },
          [&](const screens::Go& go) {
            if (go.to.screen == screens::ScreenId::hand_over) plan_hand_over();
          },
          [&](const screens::ChoosePart&) { make_codes(); },
          [&](const screens::HandOver& wish) { hand_over(wish); },
          [&](const screens::PauseCodes&) { drive_codes(); },
          [&](const screens::ShowCode& wish) { show_code(wish.code); },
          [&](const screens::TakeOffered&) { take_in(std::exchange(offered_, {})); },
          [&](const screens::SyncNow&) { on_online(); },
          [&](const screens::ApplyUpdate&) {
            // Never over a count: the screen says so too.
            if (saves_.empty()) platform_.apply_update();
          },
          [&](const screens::AskPersistence&) { platform_.store_ask_persistence(); },
          [&](const screens::Announce& wish) { platform_.announce(wish.text, wish.assertive); },
          [](const auto&) {},
      },
      intent);
}

void App::set_look() {
  const screens::Preferences& wished = session_.preferences;
  widgets::choose_language(wished.language);
  ui_.set_theme(widgets::make_theme({.dusk = wished.theme == screens::Theme::dark,
                                     .text_scale = static_cast<float>(wished.text_percent) / 100,
                                     .left_handed = wished.left_hand}));
}

// One entry of the browser's history a screen deeper, so that its back button goes back in the app.
// The screen stays awake while somebody counts, shows codes or reads them.
void App::follow_screen() {
  const screens::ScreenId here = session_.here().screen;
  using screens::ScreenId;
  const bool looks = here == ScreenId::receive || here == ScreenId::join_farm;
  if (session_.exchange.camera.on && !looks) end_scan();
  follow_codes();
  const bool awake = here == ScreenId::count || here == ScreenId::buds ||
                     here == ScreenId::show_codes || session_.exchange.camera.on;
  if (awake != awake_) platform_.keep_awake(awake_ = awake);
  const int depth = static_cast<int>(session_.stack.size()) - 1 + (session_.asking.empty() ? 0 : 1);
  if (from_browser_back_) {
    history_depth_ = std::max(0, history_depth_ - 1);  // the browser has gone back by itself
  }
  while (history_depth_ < depth) {
    platform_.push_history();
    ++history_depth_;
  }
  if (history_depth_ > depth) platform_.pop_history(history_depth_ - depth);
  history_depth_ = depth;
}

void App::join(std::string code) {
  session_.sync.link = screens::Link::trying;
  session_.sync.trouble.clear();
  joining_until_ms_ = platform_.elapsed_ms() + join_patience_ms;
  const orchard::Person* person = season_.person(session_.person);
  client_.join(std::move(code), person ? person->name : "phone", moment());
  drive_sync();
}

void App::look_at_demo() {
  demo_ = {};
  demo_.request = next_request();
  platform_.fetch_asset(demo_.request, "demo.jsonl");
}

void App::take_demo(std::string_view lines) {
  ledger::Stamp latest;
  while (!lines.empty()) {
    const std::string_view line = lines.substr(0, lines.find('\n'));
    lines.remove_prefix(std::min(line.size() + 1, lines.size()));
    if (line.empty()) continue;
    const auto record = ledger::read_record(line);
    if (!record) continue;
    latest = std::max(latest, record->stamp);
    demo_.season.apply(*record);
  }
  if (latest.at_ms == 0) return toast("toast.no_demo", {}, true);
  demo_.before = session_;
  // A few minutes after the last record: the demo's day is still going on.
  demo_.clock_ahead_ms = latest.at_ms + 5 * 60 * 1000 - platform_.wall_ms();
  session_.demo = true;
  session_.person.clear();
  session_.block.clear();
  session_.drafts = {};
  session_.parked.clear();
  session_.fields.clear();
  session_.last_save = {};
  session_.stack = screens::first_stack(demo_.season, session_);
  reckoning_.forget();
  follow_screen();
}

void App::leave_demo() {
  if (!session_.demo) return;
  const screens::Preferences kept = session_.preferences;
  const screens::StorageSummary storage = session_.storage;
  session_ = demo_.before;
  session_.preferences = kept;
  session_.storage = storage;
  session_.demo = false;
  session_.toast.reset();
  session_.stack = screens::first_stack(season_, session_);
  reckoning_.forget();
  demo_ = {};
  summarise_sync();
  write_memory();  // the look chosen while looking at the demo stays
}

void App::share(const screens::Share& wish) {
  using Form = screens::ShareForm;
  const std::string name = "nthtree-" + day_name();
  const auto save = [&](const char* ending, const char* mime, const std::string& text) {
    platform_.save_file(name + ending, mime, text, false);
  };
  if (client_.book().size() == 0) return toast("toast.nothing_to_share");
  if (wish.form == Form::counts) {
    return save("-counts.csv", "text/csv", ledger::count_table(season()));
  }
  std::vector<ledger::Record> records;
  std::string lines;
  client_.book().each([&](const ledger::RecordId&, const std::string& bytes) {
    lines += bytes;
    lines += '\n';
    if (wish.form != Form::records) return;
    if (auto record = ledger::read_record(bytes)) records.push_back(std::move(record.value()));
  });
  // One record a line, byte for byte: the form another phone reads.
  if (wish.form == Form::json) return save(".jsonl", "application/json", lines);
  std::sort(records.begin(), records.end(),
            [](const auto& a, const auto& b) { return a.place() < b.place(); });
  save("-records.csv", "text/csv",
       ledger::record_table(records, season().farm().utc_offset_minutes));
}

void App::toast(const char* key, std::string value, bool warning) {
  session_.toast = screens::Toast{key, std::move(value), warning, session_now() + toast_ms};
  platform_.request_frame();
}

}  // namespace nthtree::app
