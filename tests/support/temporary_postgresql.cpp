// SPDX-License-Identifier: Apache-2.0
#include "support/temporary_postgresql.h"

#include <arpa/inet.h>
#include <fcntl.h>
#include <libpq-fe.h>
#include <netinet/in.h>
#include <pwd.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <thread>
#include <vector>

namespace nthtree::test {
namespace {

std::string program(const char* name) {
  const char* named = std::getenv("NTHTREE_PG_BIN");
  return std::string(named ? named : "/usr/lib/postgresql/15/bin") + "/" + name;
}

[[noreturn]] void give_up(const std::string& why) {
  std::fprintf(stderr, "temporary PostgreSQL: %s\n", why.c_str());
  std::abort();
}

const passwd* user_of_server() {
  if (geteuid() != 0) return nullptr;
  for (const char* name : {"postgres", "nobody"}) {
    if (const passwd* user = getpwnam(name)) return user;
  }
  give_up("there is no unprivileged user");
}

// In the child: as that user, quiet, and ended when this program ends.
pid_t start_program(std::vector<std::string> words, int ending) {
  const passwd* user = user_of_server();
  const pid_t parent = getpid(), child = fork();
  if (child != 0) return child;
  if (user && (setgid(user->pw_gid) != 0 || setuid(user->pw_uid) != 0)) _exit(126);
  prctl(PR_SET_PDEATHSIG, ending);
  if (getppid() != parent) _exit(126);
  const int nowhere = open("/dev/null", O_RDWR);
  for (const int stream : {0, 1, 2}) dup2(nowhere, stream);
  if (chdir("/") != 0) _exit(126);
  std::vector<char*> pointers;
  for (std::string& word : words) pointers.push_back(word.data());
  pointers.push_back(nullptr);
  execv(pointers[0], pointers.data());
  _exit(127);
}

bool run_to_its_end(std::vector<std::string> words) {
  int status = -1;
  waitpid(start_program(std::move(words), SIGKILL), &status, 0);
  return status == 0;
}

int free_port() {
  const int socket_of_test = socket(AF_INET, SOCK_STREAM, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  socklen_t size = sizeof address;
  bind(socket_of_test, reinterpret_cast<sockaddr*>(&address), size);
  getsockname(socket_of_test, reinterpret_cast<sockaddr*>(&address), &size);
  close(socket_of_test);
  return ntohs(address.sin_port);
}

bool run_sql(const std::string& address, const std::string& sql) {
  PGconn* connection = PQconnectdb(address.c_str());
  PGresult* result = PQexec(connection, sql.c_str());
  const ExecStatusType status = PQresultStatus(result);
  const bool done = status == PGRES_COMMAND_OK || status == PGRES_TUPLES_OK;
  PQclear(result);
  PQfinish(connection);
  return done;
}

}  // namespace

bool TemporaryPostgresql::is_here() { return access(program("postgres").c_str(), X_OK) == 0; }

TemporaryPostgresql& TemporaryPostgresql::get() {
  static TemporaryPostgresql server;
  return server;
}

TemporaryPostgresql::TemporaryPostgresql() {
  char name[] = "/tmp/nthtree-pg-XXXXXX";
  if (!mkdtemp(name)) give_up("no folder");
  folder_ = name;
  if (const passwd* user = user_of_server()) {
    if (chown(name, user->pw_uid, user->pw_gid) != 0) give_up("the folder cannot be given away");
  }
  // Trust on loopback within this machine's own short-lived cluster.
  if (!run_to_its_end({program("initdb"), "-D", folder_ + "/data", "-U", "postgres", "-A", "trust",
                       "-E", "UTF8", "--locale=C", "--no-sync"})) {
    give_up("initdb failed");
  }
  port_ = free_port();
  start();
  if (!run_sql(superuser_address("/postgres"), "CREATE ROLE hub LOGIN")) give_up("no role");
}

void TemporaryPostgresql::start() {
  const auto launch = [this] {
    server_ = start_program({program("postgres"), "-D", folder_ + "/data", "-p",
                             std::to_string(port_), "-c", "listen_addresses=127.0.0.1", "-c",
                             "unix_socket_directories=" + folder_, "-c", "max_connections=50",
                             // After a kill each of a thousand files is not synced by itself.
                             "-c", "recovery_init_sync_method=syncfs"},
                            SIGINT);
  };
  launch();
  for (int i = 0; i < 600; ++i) {
    if (run_sql(superuser_address("/postgres"), "SELECT 1")) return;
    // One that was killed may have left children that still hold the memory they shared.
    if (waitpid(server_, nullptr, WNOHANG) == server_) launch();
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
  }
  give_up("it does not start");
}

TemporaryPostgresql::~TemporaryPostgresql() {
  kill(server_, SIGINT);
  waitpid(server_, nullptr, 0);
  std::error_code error;
  std::filesystem::remove_all(folder_, error);
}

void TemporaryPostgresql::kill_and_start_again() {
  kill(server_, SIGKILL);  // its children end by themselves
  waitpid(server_, nullptr, 0);
  std::error_code error;
  std::filesystem::remove(folder_ + "/data/postmaster.pid", error);
  start();
}

std::string TemporaryPostgresql::superuser_address(const std::string& address) const {
  return "postgresql://postgres@127.0.0.1:" + std::to_string(port_) +
         address.substr(address.rfind('/'));
}

std::string TemporaryPostgresql::new_database() {
  const std::string name = "test" + std::to_string(++databases_);
  if (!run_sql(superuser_address("/postgres"), "CREATE DATABASE " + name + " OWNER hub")) {
    give_up("no database");
  }
  return "postgresql://hub@127.0.0.1:" + std::to_string(port_) + "/" + name;
}

std::string TemporaryPostgresql::dump(const std::string& address, const std::string& role) {
  const std::string file = folder_ + "/dump" + std::to_string(++dumps_);
  const bool done = run_to_its_end({program("pg_dump"), "--format=custom", "--file=" + file,
                                    "--dbname=postgresql://" + role + "@127.0.0.1:" +
                                        std::to_string(port_) +
                                        address.substr(address.rfind('/'))});
  return done ? file : "";
}

std::string TemporaryPostgresql::restored(const std::string& dump_file) {
  const std::string address = new_database();
  if (!run_to_its_end({program("pg_restore"), "--exit-on-error", "--single-transaction",
                       "--dbname=" + superuser_address(address), dump_file})) {
    give_up("pg_restore failed");
  }
  return address;
}

void TemporaryPostgresql::execute_as_superuser(const std::string& address,
                                               const std::string& sql) {
  if (!run_sql(superuser_address(address), sql)) give_up("refused: " + sql);
}

}  // namespace nthtree::test
