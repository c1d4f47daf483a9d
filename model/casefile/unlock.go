package casefile

import (
	"bytes"
	"crypto/ed25519"
	"errors"
	"io"
	"slices"
	"sync"
	"time"

	"filippo.io/age"
	"golang.org/x/text/unicode/norm"
)

const (
	// keyWorkFactor is age's own default for scrypt, 2^18: about a second and
	// 256 MB.
	keyWorkFactor = 18
	// maxWorkFactor limits the work factor that a file may require for unlocking a key, so that a
	// hostile case cannot exhaust the machine: 2^19 needs 512 MB.
	maxWorkFactor = 19
	// maxLockedKey limits a locked key. A real one has some 200 bytes.
	maxLockedKey = 4096
)

// DefaultIdle is how long an unlocked key stays unlocked without being used.
const DefaultIdle = 15 * time.Minute

// lockKey locks a key with the NFC form of the passphrase: the same letters can be encoded in
// several ways, and keyboards differ.
func lockKey(private ed25519.PrivateKey, passphrase string, workFactor int) ([]byte, error) {
	recipient, err := age.NewScryptRecipient(norm.NFC.String(passphrase))
	if err != nil {
		return nil, err
	}
	recipient.SetWorkFactor(workFactor)
	var b bytes.Buffer
	w, err := age.Encrypt(&b, recipient)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(private.Seed()); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// unlockKey opens a locked key. Earlier versions of the program used the passphrase as the keyboard
// produced it, so unlockKey tries each form in turn. A passphrase without accents has only one
// form.
func unlockKey(locked []byte, passphrase string) (ed25519.PrivateKey, error) {
	var err error
	for _, spelling := range spellings(passphrase) {
		var private ed25519.PrivateKey
		if private, err = unlockSpelt(locked, spelling); !errors.Is(err, ErrPassphrase) {
			return private, err
		}
	}
	return nil, err
}

// spellings returns the passphrase in NFC, as typed, and in NFD (UAX #15), each once.
func spellings(passphrase string) []string {
	list := []string{norm.NFC.String(passphrase)}
	for _, s := range []string{passphrase, norm.NFD.String(passphrase)} {
		if !slices.Contains(list, s) {
			list = append(list, s)
		}
	}
	return list
}

func unlockSpelt(locked []byte, passphrase string) (ed25519.PrivateKey, error) {
	identity, err := age.NewScryptIdentity(passphrase)
	if err != nil {
		return nil, refuse(ErrPassphrase, "the passphrase is empty")
	}
	identity.SetMaxWorkFactor(maxWorkFactor)
	r, err := age.Decrypt(bytes.NewReader(locked), identity)
	if err != nil {
		var none *age.NoIdentityMatchError
		if errors.As(err, &none) && wrongPassphrase(none) {
			return nil, &problem{kind: ErrPassphrase, text: "wrong passphrase", cause: err}
		}
		return nil, &problem{kind: ErrTampered, text: "the locked key cannot be read: " + err.Error(), cause: err}
	}
	seed, err := io.ReadAll(io.LimitReader(r, ed25519.SeedSize+1))
	if err != nil || len(seed) != ed25519.SeedSize {
		return nil, refuse(ErrTampered, "the locked key does not hold an Ed25519 seed")
	}
	defer clear(seed)
	return ed25519.NewKeyFromSeed(seed), nil
}

func wrongPassphrase(e *age.NoIdentityMatchError) bool {
	for _, err := range e.Errors {
		if !errors.Is(err, age.ErrIncorrectIdentity) {
			return false
		}
	}
	return true
}

// keyring holds the keys that are unlocked now.
type keyring struct {
	mu   sync.Mutex
	keys map[PersonID]*unlocked
	idle time.Duration
	now  func() time.Time
}

type unlocked struct {
	private ed25519.PrivateKey
	used    time.Time
	timer   *time.Timer
}

// forget removes a key and overwrites it. The caller holds mu.
func (k *keyring) forget(id PersonID) {
	if u := k.keys[id]; u != nil {
		u.timer.Stop()
		clear(u.private)
		delete(k.keys, id)
	}
}

// get returns a copy of a key that is still unlocked, and counts as a use. The copy is for one
// signature; it stays valid if the key is locked in the meantime.
func (k *keyring) get(id PersonID) ed25519.PrivateKey {
	k.mu.Lock()
	defer k.mu.Unlock()
	u := k.keys[id]
	if u == nil {
		return nil
	}
	now := k.now()
	if now.Sub(u.used) >= k.idle {
		k.forget(id)
		return nil
	}
	u.used = now
	u.timer.Reset(k.idle)
	return slices.Clone(u.private)
}

// Signing keeps failed attempts to unlock a key out of the journal until done is called, which
// records them: while people sign, one mistyped passphrase must not change what they sign. Closing
// the case records them too. Calling done again does nothing.
func (c *Case) Signing() (done func() error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.signings++
	ended := false
	return func() error {
		c.mu.Lock()
		defer c.mu.Unlock()
		if ended || c.closed {
			return nil
		}
		ended = true
		c.signings--
		return c.recordAttempts()
	}
}

// recordAttempts records the failed attempts that were kept back.
func (c *Case) recordAttempts() error {
	for c.signings == 0 && len(c.attempts) > 0 {
		if err := c.record(KindUnlockFailed, "", unlockFailed{Person: c.attempts[0]}); err != nil {
			return err
		}
		c.attempts = c.attempts[1:]
	}
	return nil
}

// Unlock makes a person's key usable until they lock it, the case is closed, or the key was unused
// for Options.Idle. A wrong passphrase is recorded in the journal (see Signing) and gives an
// ErrPassphrase. Unlock takes about a second.
func (c *Case) Unlock(id PersonID, passphrase string) error {
	c.mu.Lock()
	if err := c.writable(); err != nil {
		c.mu.Unlock()
		return err
	}
	p := c.state.person(id)
	if p == nil || !p.Active() {
		c.mu.Unlock()
		return refuse(ErrRule, "%q is nobody who can unlock a key in this case", id)
	}
	person := *p
	c.mu.Unlock()

	// The case stays usable while scrypt runs.
	private, err := unlockKey(person.locked, passphrase)

	c.mu.Lock()
	defer c.mu.Unlock()
	if errors.Is(err, ErrPassphrase) {
		failed := refuse(ErrPassphrase, "wrong passphrase for %s; the attempt is recorded", person.Name)
		if werr := c.writable(); werr != nil {
			return werr
		}
		if c.signings > 0 {
			c.attempts = append(c.attempts, id)
			return failed
		}
		if rerr := c.record(KindUnlockFailed, "", unlockFailed{Person: id}); rerr != nil {
			return errors.Join(refuse(ErrPassphrase, "wrong passphrase for %s; the attempt could not be recorded", person.Name),
				rerr)
		}
		return failed
	}
	if err != nil {
		return err
	}
	if !bytes.Equal(private.Public().(ed25519.PublicKey), person.PublicKey) {
		clear(private)
		return refuse(ErrTampered, "the locked key of %s does not belong to their public key; enrol them again", person.Name)
	}
	if c.closed {
		clear(private)
		return ErrClosed
	}
	c.keys.put(id, private)
	return nil
}

// put keeps an unlocked key until it has been idle too long.
func (k *keyring) put(id PersonID, private ed25519.PrivateKey) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.forget(id)
	u := &unlocked{private: private, used: k.now()}
	u.timer = time.AfterFunc(k.idle, func() {
		k.mu.Lock()
		defer k.mu.Unlock()
		// A use in the meantime restarted the timer.
		if k.keys[id] == u && k.now().Sub(u.used) >= k.idle {
			k.forget(id)
		}
	})
	k.keys[id] = u
}

// Lock removes a person's unlocked key; without arguments, everybody's.
func (c *Case) Lock(people ...PersonID) { c.lock(people...) }

func (c *Case) lock(people ...PersonID) {
	c.keys.mu.Lock()
	defer c.keys.mu.Unlock()
	if len(people) == 0 {
		for id := range c.keys.keys {
			c.keys.forget(id)
		}
	}
	for _, id := range people {
		c.keys.forget(id)
	}
}

// Unlocked reports whether a person's key can be used now. This does not count as a use.
func (c *Case) Unlocked(id PersonID) bool {
	c.keys.mu.Lock()
	defer c.keys.mu.Unlock()
	u := c.keys.keys[id]
	if u == nil {
		return false
	}
	if c.keys.now().Sub(u.used) >= c.keys.idle {
		c.keys.forget(id)
		return false
	}
	return true
}

// unlockFailed is the body of a KindUnlockFailed entry.
type unlockFailed struct {
	Person PersonID `json:"person"`
}
