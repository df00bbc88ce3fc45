/** Whether there is such a database, without creating one. */
export function databaseExists(name: string): Promise<boolean> {
  return new Promise((done) => {
    try {
      const request = indexedDB.open(name);
      request.onupgradeneeded = () => request.transaction!.abort();
      request.onerror = () => done(false);
      request.onsuccess = () => {
        request.result.close();
        done(true);
      };
    } catch {
      done(false); // a browser that stores nothing
    }
  });
}
