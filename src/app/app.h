// SPDX-License-Identifier: Apache-2.0
//
// The app: events in, frames out. It hands what the platform says and what the screens ask for to
// the room whose business it is, and decides nothing that one of them could decide.
//
// The way of one tap: screen -> intent -> Saver -> the phone's store, durable -> season -> news ->
// screen.
//
// Invariants: nothing is written before the load has succeeded; the demo farm stores, sends and
// mixes nothing; the session is moved by intents and news alone (context.h).
//
//   App app(platform, fonts);
//   app.start(varieties);                       // then events and frames
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "app/context.h"
#include "app/demo.h"
#include "app/hand_over.h"
#include "app/lock.h"
#include "app/navigator.h"
#include "app/office.h"
#include "app/platform.h"
#include "app/saver.h"
#include "app/surface.h"
#include "app/sync_driver.h"
#include "app/take_in.h"
#include "screens/screens.h"
#include "widgets/ui.h"

namespace nthtree::app {

class App : public Surface, public PlatformEvents {
 public:
  App(Platform& platform, widgets::Fonts& fonts);
  // varieties: the text of assets/varieties.json. Begins to load the phone's records.
  void start(std::string_view varieties);

  bool lay_out(const SurfaceSize& size, std::int64_t now_ms) override;
  bool buzzes() const override { return session().preferences.buzz; }
  widgets::Ui& ui() override { return ui_; }
  widgets::Fonts& fonts() override { return fonts_; }
  const screens::Session& session() const { return context_.session(); }
  const ledger::Season& season() const { return context_.shown(); }

  void on_store_named(const std::vector<MetaChange>& meta,
                      const std::vector<MetaChange>& drafts, std::int64_t records) override;
  void on_store_records(const std::vector<std::string_view>& records) override;
  bool on_store_batch(std::string_view text) override;
  void on_store_loaded(int set_aside) override;
  void on_store_load_failed(std::string_view detail) override;
  void on_store_done(RequestId id, StoreOutcome outcome, std::string_view detail) override;
  void on_store_status(const StoreStatus& status) override;
  void on_http_done(RequestId id, int status, std::string_view body) override;
  void on_language(std::string_view code, bool has_come) override;
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
  void on_lock(RequestId id, bool ok, std::string_view text) override;
  void on_code(int code, int modules_a_side, std::string_view modules) override;

 private:
  void run_all(const screens::Intents& intents);
  void run(const screens::Intent& intent);
  void follow();  // browser, camera and codes, after whatever may have moved somebody
  void set_look();
  void leave_demo();
  void load_again();
  void take_read(base::Result<ledger::Record>& record);  // of the load under way
  void show_people(std::string_view copy);
  void keep_people();
  enum class Picked { records, station };
  void pick(Picked what, const char* accept);  // inside a tap only

  Platform& platform_;
  widgets::Fonts& fonts_;
  widgets::Ui ui_;
  Context context_;
  Saver saver_;
  HandOver hand_over_;
  SyncDriver sync_;
  TakeIn take_in_;
  Demo demo_;
  Office office_;
  Lock lock_;
  Navigator navigator_;
  // A load under way: a season that nobody looks at before it is whole.
  struct Opening {
    ledger::Season season;
    ledger::SeasonLoader loader{season};
    std::int64_t unreadable = 0;  // records
    screens::Loaded loaded;
    std::string locks;
  };
  std::optional<Opening> opening_;
  bool load_failed_ = false;
  std::map<std::string, orchard::Person> people_kept_;  // as their copy on the disk has them
  std::optional<std::uint64_t> people_looked_at_;  // the season's revision when that was compared
  Picked picked_ = Picked::records;  // what the file that comes is for
};

}  // namespace nthtree::app
