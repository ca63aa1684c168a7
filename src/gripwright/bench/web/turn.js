// One after another: what is written to a lesson, and what is read of it because the disk has
// moved on. A change under way is not taken for one from outside.
/** @type {Promise<unknown>} */
let queue = Promise.resolve();

/** Do work when what came before it is done. @template T @param {() => Promise<T>} work @returns {Promise<T>} */
export function inTurn(work) {
  const turn = queue.then(work);
  queue = turn.catch(() => {});
  return turn;
}
