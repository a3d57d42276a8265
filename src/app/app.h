// SPDX-License-Identifier: Apache-2.0
//
// The app: the season, the session, and what the screens ask for. It joins the screens, the ledger,
// sync and the platform, and decides nothing that one of them could decide.
//
// The way of one tap: screen -> intent -> record -> the phone's store, durable -> season ->
// screen. A record is applied to the season, called saved and offered to sync only after the store
// has confirmed it. The draft of a count goes in the same transaction.
//
// Invariants:
//   - nothing is written before the load has succeeded;
//   - saves are stored in the order they were made; a failed one waits and is tried again, never
//     dropped, and while it waits no draft is overwritten;
//   - the demo farm stores, sends and mixes nothing.
//
//   App app(platform, fonts);
//   app.start();                       // then events and frames
#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/season.h"
#include "screens/parts/reckoning.h"
#include "screens/screens.h"
#include "app/platform.h"
#include "app/surface.h"
#include "sync/client.h"
#include "widgets/ui.h"

namespace nthtree::app {

class App : public Surface, public PlatformEvents {
 public:
  App(Platform& platform, widgets::Fonts& fonts);
  // varieties: the text of assets/varieties.json. Begins to load the phone's records.
  void start(std::string_view varieties);

  bool lay_out(const SurfaceSize& size, std::int64_t now_ms) override;
  bool buzzes() const override { return session_.preferences.buzz; }
  widgets::Ui& ui() override { return ui_; }
  widgets::Fonts& fonts() override { return fonts_; }
  const screens::Session& session() const { return session_; }
  const ledger::Season& season() const { return session_.demo ? demo_.season : season_; }

  void on_store_records(const std::vector<std::string_view>& records) override;
  void on_store_loaded(const std::vector<MetaChange>& meta, const std::vector<MetaChange>& drafts,
                       int set_aside) override;
  void on_store_load_failed(std::string_view detail) override;
  void on_store_done(RequestId id, StoreOutcome outcome, std::string_view detail) override;
  void on_store_status(const StoreStatus& status) override;
  void on_http_done(RequestId id, int status, std::string_view body) override;
  void on_wake() override;
  void on_back() override;
  void on_visible(bool visible) override;
  void on_online() override;
  void on_update_ready(std::string_view version) override;
  void on_file(std::string_view name, std::string_view bytes) override;
  void on_file_too_large(std::string_view name) override;
  void on_file_given(FileGiven how) override;
  void on_scan(std::string_view bytes, bool chain) override;
  void on_scan_progress(const ScanProgress& progress) override;
  void on_scan_stopped(std::string_view detail) override;
  void on_codes(RequestId id, int codes, std::string_view detail) override;
  void on_code(int code, int modules_a_side, std::string_view modules) override;

 private:
  // Records on their way to the disk, stored together or not at all.
  struct Save {
    std::vector<ledger::Record> records;
    std::string draft_person;        // whose draft ends or changes with it
    bool closes_draft = false;
    std::string becomes_person;      // who holds the phone once it is durable (a farm was started)
  };
  struct Demo {
    ledger::Season season;
    std::int64_t clock_ahead_ms = 0;  // the demo's week lies in the past
    std::uint64_t sequence = 0;
    RequestId request = 0;
    screens::Session before;          // where the person really was
  };

  // --- intents (app_intents.cpp)
  void run(const screens::Intent& intent);
  void run_all(const screens::Intents& intents);
  void set_look();
  void follow_screen();              // history and wake lock
  void join(std::string code);
  void look_at_demo();
  void take_demo(std::string_view lines);
  void leave_demo();
  void share(const screens::Share& share);
  void toast(const char* key, std::string value = {}, bool warning = false);
  std::int64_t session_now() const;  // wall time, or the demo's

  // --- from phone to phone (app_exchange.cpp)
  void plan_hand_over();
  void make_codes();
  void hand_over(const screens::HandOver& wish);
  std::string day_name() const;
  void order_codes_from(int code);
  void shuffle_codes();
  void follow_codes();
  void show_code(int code);
  void drive_codes();
  void open_receive();
  void take(std::string_view lines);
  void take_in(std::string lines);
  void imported(const sync::Notice::Tally& tally);
  void end_scan();

  // --- records and drafts (app_store.cpp)
  void save(const screens::SaveRecords& intent);
  void save_in_demo(const screens::SaveRecords& intent);
  void start_farm(const screens::StartFarm& farm);
  void queue(Save save);
  void store_next_save();
  void saved(const Save& save);
  void write_draft();
  void write_memory();
  const screens::Drafts& drafts_of(const std::string& person);
  std::string draft_key(const std::string& person) const;

  // --- sync (app_sync.cpp)
  void drive_sync();                 // carries out what the client wants, asks for the next wake
  void carry_out(sync::Send& send);
  void carry_out(sync::StoreChange& change);
  void carry_out(sync::Apply& apply);
  void carry_out(sync::WantDeviceKey& want);
  void carry_out(sync::Joined&);
  void carry_out(sync::Notice& notice);
  void rebuild_season();
  void summarise_sync();
  sync::Moment moment();
  ledger::DeviceKey random_key();
  RequestId next_request() { return ++last_request_; }

  Platform& platform_;
  widgets::Fonts& fonts_;
  widgets::Ui ui_;
  screens::Session session_;
  screens::Reckoning reckoning_;
  ledger::Season season_;
  Demo demo_;
  sync::Client client_;
  bool loaded_ = false;
  std::vector<ledger::Record> loading_;  // until all are read: the season takes them at once
  int set_aside_ = 0;

  RequestId last_request_ = 0;
  std::deque<Save> saves_;           // the first is on its way (or waits for another try)
  RequestId save_request_ = 0;       // 0: none under way
  std::int64_t save_again_ms_ = -1;  // elapsed time of the next try, -1: none planned
  RequestId draft_request_ = 0;
  std::set<std::string> drafts_dirty_;  // people whose half-done count is not on the disk yet
  std::map<RequestId, std::int32_t> store_changes_;  // request -> the client's number
  std::map<RequestId, std::int32_t> sends_;
  std::int64_t joining_until_ms_ = 0;
  RequestId codes_request_ = 0;        // the chain asked for last
  std::vector<int> code_order_;        // of this round
  std::size_t code_at_ = 0;            // in code_order_
  std::int64_t code_due_ms_ = -1;      // elapsed time of the next one; -1: none is shown
  std::string offered_;                // another farm's records, until the person has said yes
  int history_depth_ = 0;
  bool from_browser_back_ = false;
  bool awake_ = false;
};

}  // namespace nthtree::app
