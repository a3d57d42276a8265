// SPDX-License-Identifier: Apache-2.0
#include "app/app.h"

#include <algorithm>
#include <utility>

#include "app/people_copy.h"
#include "app/stored_batch.h"
#include "widgets/language.h"
#include "widgets/theme.h"

namespace nthtree::app {
namespace {

constexpr int passes_max = 300;  // a stalled minute of taps; more would be a loop of our own making
constexpr std::int64_t load_again_ms = 3000;

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
         std::holds_alternative<screens::PickStation>(intent) ||
         std::holds_alternative<screens::JoinFarm>(intent) ||
         std::holds_alternative<screens::ListPhones>(intent) ||
         std::holds_alternative<screens::SetPin>(intent) ||
         std::holds_alternative<screens::ForgetPin>(intent) ||
         std::holds_alternative<screens::ChangePhone>(intent) ||
         std::holds_alternative<screens::GiveCode>(intent) ||
         std::holds_alternative<screens::ForgetNames>(intent) ||
         std::holds_alternative<screens::StartFarm>(intent);
}

// The region of a BCP 47 tag ("en-US"): the United States alone plant in feet and sell in pounds;
// farms of other regions choose by hand where they do.
bool measures_in_feet(std::string_view language) {
  return language.find("-US") != std::string_view::npos;
}

// A code that came with the address (the office showed it as a QR code).
std::string join_code_of(std::string fragment) {
  if (const std::size_t at = fragment.find('='); at != std::string::npos) fragment.erase(0, at + 1);
  return fragment.size() >= 10 ? fragment.substr(0, 64) : "";
}

screens::StorageSummary summary_of(const StoreStatus& status) {
  screens::StorageSummary storage;
  storage.known = true;
  storage.persisted = status.persisted;
  storage.private_window = status.private_window;
  storage.writer = status.writer;
  storage.installed = status.installed;
  storage.install = status.install;
  storage.second_copy = status.second_copy;
  storage.usage_bytes = status.usage_bytes;
  storage.quota_bytes = status.quota_bytes;
  storage.lost = status.lost;
  storage.brought_back = status.brought_back;
  return storage;
}

}  // namespace

App::App(Platform& platform, widgets::Fonts& fonts)
    : platform_(platform),
      fonts_(fonts),
      ui_(fonts),
      context_(platform),
      saver_(context_),
      hand_over_(context_),
      sync_(context_, [this] { return saver_.waits(); },
            [this](std::int64_t fresh) { hand_over_.imported(fresh); },
            [this](orchard::Role role) { lock_.joined_as(role); }),
      take_in_(context_, sync_),
      demo_(context_),
      office_(context_),
      lock_(context_, [this] {
        set_look();  // each person has a language
        saver_.write_memory();
      }),
      navigator_(platform) {}

void App::start(std::string_view varieties) {
  screens::Started started;
  if (auto read = orchard::read_varieties(varieties)) started.varieties = std::move(read.value());
  started.language = widgets::choose_language(platform_.language());
  started.us_region = measures_in_feet(platform_.language());
  started.can_scan = platform_.can_scan();
  started.stillness = platform_.wants_stillness();
  started.time_zone = platform_.time_zone();
  started.made_ms = platform_.made_ms();
  started.code = join_code_of(platform_.start_fragment());
  context_.tell(started);
  set_look();
  platform_.store_load();
  platform_.store_ask_status();
}

// --- frames, and what the screens ask for

bool App::lay_out(const SurfaceSize& size, std::int64_t at_ms) {
  const widgets::FrameInput input{size.width, size.height, size.safe.top, size.safe.right,
                                  size.safe.bottom, size.safe.left, at_ms};
  lock_.mind_idle();
  bool again = true;
  for (int pass = 0; again && pass < passes_max; ++pass) {
    context_.tell(screens::Clock{context_.now_ms()});
    ui_.begin_frame(input);
    const screens::Intents intents =
        screens::draw(ui_, season(), session(), context_.cache);
    ui_.end_frame();
    run_all(intents);
    // What was asked for changes the picture; and taps that wait come one control at a time.
    again = !intents.empty() || ui_.has_pending();
  }
  if (session().locks.until_ms > session().now_ms) platform_.schedule_wake(1000);
  if (const auto& toast = session().toast) {
    platform_.schedule_wake(std::max<std::int64_t>(50, toast->until_ms - session().now_ms));
  }
  return again || ui_.animating();
}

void App::run_all(const screens::Intents& intents) {
  for (const screens::Intent& intent : intents) {
    if (session().reading && screens::needs_season(intent)) continue;
    context_.take(intent);
    run(intent);
    if (session().demo) continue;
    if (screens::touches_drafts(intent)) saver_.draft_changed();
    if (screens::touches_memory(intent)) saver_.write_memory();
  }
  if (intents.empty()) return;
  lock_.touched();
  follow();
}

void App::run(const screens::Intent& intent) {
  const bool in_demo = session().demo;
  if (in_demo && touches_own_data(intent)) return context_.toast("toast.demo", {}, true);
  std::visit(
      Overloaded{
          [&](const screens::SaveRecords& wish) {
            in_demo ? demo_.save(wish) : saver_.save(wish);
          },
          [&](const screens::TrySaveAgain&) { saver_.try_again(); },
          [&](const screens::SetPreferences&) { set_look(); },
          [&](const screens::ChoosePerson&) { set_look(); },  // each person has a language
          [&](const screens::JoinFarm& wish) { sync_.join(wish.code); },
          [&](const screens::StartFarm& wish) { saver_.start_farm(wish); },
          [&](const screens::LookAtDemo&) { demo_.look(); },
          [&](const screens::LeaveDemo&) { leave_demo(); },
          [&](const screens::Unlock& wish) { lock_.unlock(wish); },
          [&](const screens::UnlockByPhone& wish) { lock_.unlock_by_phone(wish); },
          [&](const screens::SetPin& wish) { lock_.set_pin(wish); },
          [&](const screens::UsePhoneLock& wish) { lock_.use_phone_lock(wish); },
          [&](const screens::ForgetPin& wish) { lock_.forget(wish.person); },
          [&](const screens::ListPhones&) { office_.list(); },
          [&](const screens::ChangePhone& wish) { office_.change(wish); },
          [&](const screens::GiveCode& wish) { office_.give_code(wish); },
          [&](const screens::ForgetNames& wish) { office_.forget(wish); },
          [&](const screens::Share& wish) { hand_over_.share(wish); },
          [&](const screens::PrintReport& wish) { platform_.print_html(wish.html); },
          [&](const screens::SendText& wish) {
            platform_.send_text("nthtree-" + context_.today() + ".txt", wish.text);
          },
          [&](const screens::ImportFile&) { pick(Picked::records, ".txt,.json,.jsonl"); },
          [&](const screens::PickStation&) { pick(Picked::station, ".csv,.txt,.tsv"); },
          [&](const screens::StartScan&) { take_in_.start_scan(); },
          [&](const screens::Go& go) {
            if (go.to.screen == screens::ScreenId::hand_over) hand_over_.plan();
            if (go.to.screen == screens::ScreenId::phones && !in_demo) office_.list();
          },
          [&](const screens::ChooseBatch&) { hand_over_.make_codes(); },
          [&](const screens::HandOver& wish) { hand_over_.give(wish); },
          [&](const screens::PauseCodes&) { hand_over_.on_wake(); },
          [&](const screens::ShowCode& wish) { hand_over_.show_code(wish.code); },
          [&](const screens::TakeOffered&) { take_in_.take_offered(); },
          [&](const screens::SyncNow&) { on_online(); },
          [&](const screens::ApplyUpdate&) {
            // Never over a count: the screen says so too.
            if (!saver_.waits()) platform_.apply_update();
          },
          [&](const screens::AskPersistence&) { platform_.store_ask_persistence(); },
          [&](const screens::Install&) { platform_.install(); },
          [&](const screens::ReadAgain&) { load_again(); },
          [&](const screens::Announce& wish) { platform_.announce(wish.text, wish.assertive); },
          [](const auto&) {},
      },
      intent);
}

void App::follow() {
  keep_people();
  navigator_.follow(session());
  take_in_.follow();
  hand_over_.follow();
}

void App::on_language(std::string_view code, bool has_come) {
  if (has_come) {
    set_look();
    platform_.request_frame();
  } else if (code == session().preferences.language && code != widgets::current_language()) {
    context_.toast("toast.language_waits", widgets::language_name(code), true);
  }
}

void App::set_look() {
  const screens::Preferences& wished = session().preferences;
  if (widgets::choose_language(wished.language) != wished.language) {
    platform_.fetch_language(wished.language);
  }
  ui_.set_theme(widgets::make_theme({.dusk = wished.theme == screens::Theme::dark,
                                     .text_scale = static_cast<float>(wished.text_percent) / 100,
                                     .left_handed = wished.left_hand}));
}

void App::leave_demo() {
  demo_.leave();
  sync_.drive();
  saver_.write_memory();  // the look chosen while looking at the demo stays
}

// --- the store

void App::on_store_named(const std::vector<MetaChange>& meta,
                         const std::vector<MetaChange>& drafts, std::int64_t records) {
  if (context_.loaded) return;
  opening_.emplace();
  if (records > 0) context_.tell(screens::RecordsRead{0, records});
  std::string state, people;
  for (const MetaChange& entry : meta) {
    if (entry.key == "sync") state = entry.value;
    if (entry.key == "memory") opening_->loaded.memory = entry.value;
    if (entry.key == "locks") opening_->locks = entry.value;
    if (entry.key == people_copy_name) people = entry.value;
  }
  for (const MetaChange& draft : drafts) {
    const auto person = person_of_draft(draft.key);
    if (person) opening_->loaded.drafts.emplace_back(*person, draft.value);
  }
  context_.client.load_state(state);
  if (!people.empty()) show_people(people);
}

// A code that came with the address is for somebody who is not on the list yet.
void App::show_people(std::string_view copy) {
  auto known = read_people_copy(copy);
  if (!known || session().fields.count("code") > 0) return;
  context_.season = std::move(*known);
  people_kept_ = context_.season.people();
  lock_.load(opening_->locks);
  context_.tell(screens::PeopleKnown{opening_->loaded});
  set_look();
  follow();
}

// Whoever came, went or was renamed is on the list at the next start too.
void App::keep_people() {
  const ledger::Season& season = context_.season;
  if (!context_.loaded || people_looked_at_ == season.revision()) return;
  people_looked_at_ = season.revision();
  const bool is_large = season.records() >= people_copy_records || !people_kept_.empty();
  if (!is_large || season.people() == people_kept_) return;
  people_kept_ = season.people();
  platform_.store_put_meta(context_.next_request(), people_copy_name,
                           write_people_copy(season, context_.client.store()));
}

void App::on_store_records(const std::vector<std::string_view>& records) {
  if (!opening_) return;
  for (std::string_view bytes : records) {
    auto record = context_.client.load_record(bytes);
    take_read(record);
  }
  context_.tell(screens::RecordsRead{static_cast<std::int64_t>(records.size())});
}

bool App::on_store_batch(std::string_view text) {
  const auto batch = read_stored_batch(text);
  const auto key = batch ? ledger::parse_device_key(batch->device) : std::nullopt;
  if (!opening_ || !key) return false;
  const bool taken = context_.client.load_packed(
      {*key, batch->first, batch->records, std::string(batch->packed)},
      [this](base::Result<ledger::Record>& record) { take_read(record); });
  if (taken) context_.tell(screens::RecordsRead{static_cast<std::int64_t>(batch->records)});
  return taken;
}

void App::take_read(base::Result<ledger::Record>& record) {
  if (!record) ++opening_->unreadable;
  else if (context_.client.counts(*record)) opening_->loader.add(*record);
}

void App::on_store_loaded(int set_aside) {
  if (!opening_) return;
  context_.loaded = true;
  Opening& opening = *opening_;
  opening.loader.finish();
  context_.season = std::move(opening.season);
  people_looked_at_.reset();
  context_.cache.forget();
  sync_.set_aside(set_aside + static_cast<int>(opening.unreadable));
  context_.client.set_role_of([this](const std::string& id) { return context_.role_of(id); });
  context_.client.start(context_.random_key(), context_.moment());
  opening.loaded.joined = context_.client.status().joined;
  opening.loaded.can_share = platform_.can_share();
  const bool was_seen = session().reading;  // and tries at a PIN were counted since
  if (!was_seen) lock_.load(opening.locks);
  context_.tell(opening.loaded);
  saver_.loaded();
  opening_.reset();
  set_look();
  sync_.drive();
  follow();
}

void App::on_store_load_failed(std::string_view detail) {
  // Never started without its records: a count saved now could be on top of ones not seen.
  load_failed_ = true;
  context_.tell(screens::LoadFailed{std::string(detail)});
  platform_.schedule_wake(load_again_ms);
}

void App::load_again() {
  if (!std::exchange(load_failed_, false)) return;
  context_.tell(screens::LoadTriedAgain{});
  platform_.store_load();
}

void App::on_store_done(RequestId id, StoreOutcome outcome, std::string_view detail) {
  if (outcome == StoreOutcome::full) context_.tell(screens::DiskFull{});
  if (!saver_.done(id, outcome, detail)) sync_.store_done(id, outcome == StoreOutcome::saved);
  if (context_.loaded) sync_.drive();
  follow();
}

void App::on_store_status(const StoreStatus& status) {
  context_.tell(screens::StorageTold{summary_of(status)});
}

// --- the network, time and the browser

void App::on_http_done(RequestId id, int status, std::string_view body) {
  if (!demo_.http_done(id, status, body) && !office_.http_done(id, status, body)) {
    sync_.http_done(id, status, body);
  }
  follow();
}

void App::on_wake() {
  if (!context_.loaded) return load_again();
  saver_.on_wake();
  if (const auto& toast = session().toast; toast && toast->until_ms <= context_.now_ms()) {
    context_.tell(screens::ToastOver{});
  }
  hand_over_.on_wake();
  sync_.on_wake();
}

void App::on_back() {
  navigator_.browser_went_back();
  run_all({screens::Back{}});
  platform_.request_frame();
}

void App::on_visible(bool visible) {
  sync_.set_hidden(!visible);
  if (!visible) return saver_.write_drafts();
  platform_.store_ask_status();
  if (!context_.loaded) return;
  sync_.network_back();
  platform_.request_frame();  // a hidden page draws nothing
}

void App::on_online() {
  if (context_.loaded) sync_.network_back();
}

void App::on_update_ready(std::string_view version) {
  context_.tell(screens::UpdateWaits{version.empty() ? "new" : std::string(version)});
}

// --- from phone to phone

void App::pick(Picked what, const char* accept) {
  picked_ = what;
  platform_.pick_file(accept);
}

void App::on_file(std::string_view, std::string_view bytes) {
  if (picked_ == Picked::station) {
    const bool too_large = bytes.size() > orchard::station_bytes_max;
    context_.tell(screens::StationRead{too_large ? "" : std::string(bytes), too_large});
  } else {
    take_in_.take(bytes);
  }
  follow();
}

void App::on_file_too_large(std::string_view) {
  if (picked_ == Picked::station) return context_.tell(screens::StationRead{"", true});
  take_in_.on_file_too_large();
}

void App::on_file_given(FileGiven how) {
  if (how == FileGiven::saved) context_.toast("toast.file_saved");
  if (how == FileGiven::shared) context_.toast("toast.file_shared");
  if (how == FileGiven::copied) context_.toast("toast.copied");
}

void App::on_scan(std::string_view bytes, bool chain) {
  take_in_.on_scan(bytes, chain);
  follow();
}

void App::on_scan_progress(const ScanProgress& progress) { take_in_.on_scan_progress(progress); }

void App::on_scan_stopped(std::string_view detail) {
  take_in_.on_scan_stopped(detail);
  follow();
}

void App::on_codes(RequestId id, int codes, std::string_view detail) {
  hand_over_.on_codes(id, codes, detail);
  follow();
}

void App::on_lock(RequestId id, bool ok, std::string_view text) {
  lock_.done(id, ok, text);
  follow();
}

void App::on_code(int code, int modules_a_side, std::string_view modules) {
  hand_over_.on_code(code, modules_a_side, modules);
}

}  // namespace nthtree::app
