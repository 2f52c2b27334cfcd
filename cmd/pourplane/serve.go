package main

import (
	"errors"
	"fmt"
	"io"
	"net"
	"net/netip"
	"strconv"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"pourplane/plot/page/web"
)

// usualPort is where the page is if nothing else is there. Own choice.
const usualPort = 8470

type serveFlags struct {
	listen string
	port   int
}

func newServe() *cobra.Command {
	f := serveFlags{port: usualPort}
	c := &cobra.Command{
		Use:   "serve",
		Short: "The page: open surveys, set the target and pour by it, in a browser",
		Long: `serve shows the address of a page that does in a browser what the other commands do.
It answers this computer alone, and writes nothing to the disk: the browser keeps the
floors. Ctrl-C stops it.

With --listen, phones and tablets on the network of the site can open it too, each with
a code that is shown here. The network is not encrypted: anybody on it may be able to
read along, and anybody who has the code can read the floor.`,
		Example: `  pourplane serve
  pourplane serve --listen 192.168.1.20`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return &usageError{text: fmt.Sprintf("found %q, want no files: they are opened on the page", args[0]), hint: "pourplane serve"}
			}
			return nil
		},
		RunE: func(c *cobra.Command, _ []string) error { return f.run(c) },
	}
	s := c.Flags()
	s.StringVar(&f.listen, "listen", "", "`ADDRESS` of this computer on the network of the site, for phones: such as 192.168.1.20")
	s.IntVar(&f.port, "port", f.port, "`NUMBER` of the port; 0: any that is free")
	return c
}

func (f *serveFlags) run(c *cobra.Command) error {
	if f.port < 0 || f.port > 65535 {
		return &usageError{text: fmt.Sprintf("--port: found %d, want 0 to 65535", f.port), hint: fmt.Sprintf("leave --port out for %d", usualPort)}
	}
	site, err := siteAddress(f.listen)
	if err != nil {
		return err
	}
	here, err := f.open(netip.MustParseAddr("127.0.0.1"), f.port, !c.Flags().Changed("port"))
	if err != nil {
		return err
	}
	out := c.OutOrStdout()
	ended := make(chan error, 2)
	fmt.Fprintf(out, "This computer  http://%s/\n", here.Addr())
	go func() { ended <- web.NewServer(nil).Serve(here) }()
	if site.IsValid() {
		there, err := f.open(site, here.Addr().(*net.TCPAddr).Port, false)
		if err != nil {
			return err
		}
		fmt.Fprintf(out, "Other devices  http://%s/\n", there.Addr())
		fmt.Fprintln(out, "Anybody on this network who has a code can read the floor. The network is not encrypted:\nothers on it may be able to read along. Use it on a network that you trust.")
		s := web.NewServer(web.NewDoor(showCode(out)))
		go func() { ended <- s.Serve(there) }()
	}
	fmt.Fprintln(out, "Ctrl-C stops it.")
	return fmt.Errorf("the page has ended: %w", <-ended)
}

func showCode(out io.Writer) func(code string) {
	return func(code string) { fmt.Fprintf(out, "Code for the next device: %s\n", code) }
}

// siteAddress reads the address for other devices.
func siteAddress(text string) (netip.Addr, error) {
	if text == "" {
		return netip.Addr{}, nil
	}
	a, err := netip.ParseAddr(text)
	own := ownAddresses()
	for _, o := range own {
		if err == nil && o == a.Unmap() {
			return o, nil
		}
	}
	hint := "this computer is on no network"
	if len(own) > 0 {
		var ways []string
		for _, o := range own {
			ways = append(ways, "--listen "+o.String())
		}
		hint = strings.Join(ways, ", or ")
	}
	return netip.Addr{}, &usageError{text: fmt.Sprintf("--listen: found %q, want an address of this computer on the network of the site", text), hint: hint}
}

// ownAddresses lists the addresses at which other devices can reach this computer.
func ownAddresses() (out []netip.Addr) {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, one := range all {
		if n, ok := one.(*net.IPNet); ok {
			if a, ok := netip.AddrFromSlice(n.IP); ok && !n.IP.IsLoopback() && !n.IP.IsLinkLocalUnicast() {
				out = append(out, a.Unmap())
			}
		}
	}
	return out
}

// open listens at an address. If the port is taken and another will do, it takes a free one.
func (f *serveFlags) open(a netip.Addr, port int, another bool) (net.Listener, error) {
	l, err := net.Listen("tcp", netip.AddrPortFrom(a, uint16(port)).String())
	if errors.Is(err, syscall.EADDRINUSE) {
		if another {
			return f.open(a, 0, false)
		}
		return nil, &usageError{text: fmt.Sprintf("port %d of %s is taken by another program", port, a), hint: "--port 0 takes any that is free"}
	}
	if err != nil {
		return nil, fmt.Errorf("the page cannot be opened at %s, port %s: %w", a, strconv.Itoa(port), err)
	}
	return l, nil
}
